"""A picture from its bytes: opened within limits, what it says of itself, and a copy for others that says nothing."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import BinaryIO

from PIL import Image, ImageOps, TiffImagePlugin, UnidentifiedImageError, WebPImagePlugin  # noqa: F401 - the formats they read

from inventory.documents.capture import taken_at
from inventory.errors import Refused

__all__ = [
    "Said",
    "copy_for_others",
    "digest_of_pixels",
    "grey",
    "may_be_picture",
    "open_picture",
    "said_by",
    "small_copy",
    "small_if_shown",
    "upright",
]

#: Pixels of the largest picture that is opened; a decoded one takes up to four bytes for each.
_MOST_PIXELS = 100_000_000
#: The longest side that a JPEG can have; whatever reads codes takes no longer one either.
_LONGEST_SIDE = 65_535
#: Pixels that a code on a label needs: a picture is reduced while it is read, but not below this.
_ENOUGH_PIXELS = 6_000_000
#: How much is looked at to see what a file is, and read at a time (bytes).
_HEAD, _AT_ONCE = 16, 1 << 20
_FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP")
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1")
_BEGINNINGS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"GIF8", b"BM", b"II*\0", b"MM\0*")
_EXIF, _MAKE, _MODEL = 0x8769, 0x010F, 0x0110
_ORIGINAL, _SUB_SECONDS, _OFFSET = 0x9003, 0x9291, 0x9011
_BROKEN = (OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, struct.error, EOFError, MemoryError)
#: Of the remarks of the library nothing is shown: sizes have our own limit, and damaged fields count as not there.
warnings.filterwarnings("ignore", module=r"PIL\.")


@dataclass(frozen=True)
class Said:
    """What a picture says of itself: when it was taken (without a zone if the camera wrote none), and the camera."""

    taken: datetime | None
    camera: str


def may_be_picture(head: bytes) -> bool:
    """Whether a file that begins with these 16 bytes may be a picture."""
    return head.startswith(_BEGINNINGS) or head[8:12] == b"WEBP" or _is_heic(head)


def _is_heic(held: bytes) -> bool:
    return held[4:8] == b"ftyp" and held[8:12] in _HEIC_BRANDS


def open_picture(held: bytes | BinaryIO) -> Image.Image:
    """Open a picture without decoding it. Raises `Refused` for what is none, too large, or HEIC without its reader.

    Of a file only as much is read as is wanted of the picture, so it stays open as long.
    """
    file = io.BytesIO(held) if isinstance(held, bytes) else held
    formats: tuple[str, ...] = _FORMATS
    if _is_heic(file.read(_HEAD)):
        _read_heic()
        formats = ("HEIF",)
    file.seek(0)
    try:
        picture = Image.open(file, formats=formats)
    except UnidentifiedImageError:
        raise Refused("not-a-picture", "This is no picture") from None
    except Image.DecompressionBombError:
        raise _too_large() from None
    except _BROKEN:
        raise _not_whole() from None
    if picture.width * picture.height > _MOST_PIXELS or max(picture.size) > _LONGEST_SIDE:
        raise _too_large()
    return picture


def grey(picture: Image.Image) -> Image.Image:
    """The picture in shades of grey; a JPEG is reduced while it is decoded. Raises `Refused` if a part is missing."""
    scale = 1
    while picture.width * picture.height / (2 * scale) ** 2 >= _ENOUGH_PIXELS:
        scale *= 2
    try:
        picture.draft("L", (picture.width // scale, picture.height // scale))
        return picture.convert("L")
    except _BROKEN:
        raise _not_whole() from None


def said_by(picture: Image.Image) -> Said:
    """When a picture was taken and with which camera, as far as it says so."""
    try:
        whole = picture.getexif()
        fields = whole.get_ifd(_EXIF)
        taken = taken_at(*(fields.get(tag) for tag in (_ORIGINAL, _SUB_SECONDS, _OFFSET)))
        names = [str(whole.get(tag) or "").strip(" \0") for tag in (_MAKE, _MODEL)]
    except _BROKEN:
        return Said(None, "")
    make, model = names
    return Said(taken, model if model.startswith(make) else f"{make} {model}".strip())


def digest_of_pixels(file: BinaryIO) -> str:
    """A digest that changes with the picture itself but not with what is written about it; "" where that is not known.

    Of a JPEG all segments but APPn and comments count, of a PNG the chunks that hold the picture.
    """
    file.seek(0)
    head = file.read(8)
    if head[:2] == b"\xff\xd8":
        file.seek(2)
        parts = _jpeg_parts(file)
    elif head == b"\x89PNG\r\n\x1a\n":
        parts = _png_parts(file)
    else:
        return ""
    digest = hashlib.sha256()
    for part in parts:
        digest.update(part)
    return digest.hexdigest()


def copy_for_others(held: bytes) -> tuple[bytes, str]:
    """A picture turned upright, without anything said about it (place, camera, owner, times, thumbnail); its ending.

    It is written anew, a PNG as PNG, all others as JPEG. Raises `Refused` as `open_picture` does.
    """
    picture = open_picture(held)
    colours = picture.info.get("icc_profile")
    as_png = picture.format == "PNG"
    bare = upright(picture) if as_png else upright(picture).convert("RGB")
    bare.info = {}  # Pillow would write comments from here
    out = io.BytesIO()
    if as_png:
        bare.save(out, "PNG", icc_profile=colours)
    else:
        bare.save(out, "JPEG", quality=92, icc_profile=colours if picture.mode == "RGB" else None)
    return out.getvalue(), ".png" if as_png else ".jpg"


def small_copy(held: bytes, longest: int, *, quality: int = 80) -> tuple[bytes, float]:
    """A small JPEG to be printed, upright, which says nothing of camera or place; and its width for its height.

    `longest`: pixels of its longer side at most. A large JPEG is reduced while it is decoded. Raises `Refused` as
    `open_picture` does.
    """
    picture = open_picture(held)
    picture.draft("RGB", (longest, longest))
    small = upright(picture).convert("RGB")
    small.thumbnail((longest, longest))
    small.info = {}
    out = io.BytesIO()
    small.save(out, "JPEG", quality=quality)
    return out.getvalue(), small.width / small.height


def small_if_shown(held: bytes | None, longest: int) -> tuple[io.BytesIO, float] | None:
    """The same, to be drawn on a page; None where there are no bytes, or none of a picture that can be shown."""
    if held is None:
        return None
    try:
        small, ratio = small_copy(held, longest)
    except Refused:
        return None
    return io.BytesIO(small), ratio


def upright(picture: Image.Image) -> Image.Image:
    """A copy of a picture, turned as it was taken. Raises `Refused` if a part of it is missing."""
    try:
        turned = ImageOps.exif_transpose(picture)
        return turned.copy()
    except _BROKEN:
        raise _not_whole() from None


def _jpeg_parts(file: BinaryIO) -> Iterator[bytes]:
    while len(head := file.read(4)) == 4 and head[0] == 0xFF:
        marker, length = head[1], int.from_bytes(head[2:], "big")
        if marker == 0xDA:  # the picture itself follows; what stands behind its end is not looked at
            yield from _until_end(file, head)
            return
        segment = file.read(max(length - 2, 0))
        if not (0xE0 <= marker <= 0xEF or marker == 0xFE):
            yield head + segment


def _until_end(file: BinaryIO, before: bytes) -> Iterator[bytes]:
    while piece := file.read(_AT_ONCE):
        held = before + piece
        if (end := held.find(b"\xff\xd9")) >= 0:
            yield held[:end]
            return
        yield held[:-1]
        before = held[-1:]
    yield before


def _png_parts(file: BinaryIO) -> Iterator[bytes]:
    while len(head := file.read(8)) == 8:
        length, what = int.from_bytes(head[:4], "big"), head[4:]
        end = file.tell() + length
        if what in (b"IHDR", b"PLTE", b"IDAT", b"tRNS"):
            yield what
            while piece := file.read(min(_AT_ONCE, end - file.tell())):
                yield piece
        file.seek(end + 4)


def _read_heic() -> None:
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        raise Refused(
            "heic-not-read", "HEIC pictures need one more package", hint="pip install 'matchmark[heic]'"
        ) from None
    register_heif_opener(thumbnails=False)


def _too_large() -> Refused:
    return Refused(
        "picture-too-large",
        f"The picture has more than {_MOST_PIXELS // 1_000_000} megapixels, or a side of more than {_LONGEST_SIDE:,}",
    )


def _not_whole() -> Refused:
    return Refused("picture-not-whole", "A part of the picture is missing; it may still be being copied")
