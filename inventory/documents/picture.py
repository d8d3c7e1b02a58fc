"""A picture from its bytes: opened within limits, what it says of itself, and a copy for others that says nothing."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

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


def open_picture(held: bytes) -> Image.Image:
    """Open a picture without decoding it. Raises `Refused` for what is none, too large, or HEIC without its reader."""
    formats: tuple[str, ...] = _FORMATS
    if _is_heic(held):
        _read_heic()
        formats = ("HEIF",)
    try:
        picture = Image.open(io.BytesIO(held), formats=formats)
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


def digest_of_pixels(held: bytes) -> str:
    """A digest that changes with the picture itself but not with what is written about it; "" where that is not known.

    Of a JPEG all segments but APPn and comments count, of a PNG the chunks that hold the picture.
    """
    if held[:2] == b"\xff\xd8":
        parts = list(_jpeg_parts(held))
    elif held[:8] == b"\x89PNG\r\n\x1a\n":
        parts = list(_png_parts(held))
    else:
        return ""
    return hashlib.sha256(b"".join(parts)).hexdigest()


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


def _jpeg_parts(held: bytes) -> Iterator[bytes]:
    place = 2
    while place + 4 <= len(held) and held[place] == 0xFF:
        marker, length = held[place + 1], int.from_bytes(held[place + 2 : place + 4], "big")
        if marker == 0xDA:  # the picture itself follows; what stands behind its end is not looked at
            end = held.find(b"\xff\xd9", place)
            yield held[place : end if end > 0 else len(held)]
            return
        if not (0xE0 <= marker <= 0xEF or marker == 0xFE):
            yield held[place : place + 2 + length]
        place += 2 + length


def _png_parts(held: bytes) -> Iterator[bytes]:
    place = 8
    while place + 12 <= len(held):
        length = int.from_bytes(held[place : place + 4], "big")
        if held[place + 4 : place + 8] in (b"IHDR", b"PLTE", b"IDAT", b"tRNS"):
            yield held[place + 4 : place + 8 + length]
        place += 12 + length


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
