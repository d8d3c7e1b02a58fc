"""Pictures within limits, and copies for others that tell nothing but the picture."""

from __future__ import annotations

import io
import sys
from typing import Any

import pytest
from PIL import Image

from inventory.documents.picture import copy_for_others, digest_of_pixels, grey, open_picture, said_by
from inventory.errors import Refused
from tests.pictures_made import picture_bytes

_SECRETS = (
    b"Ulla",
    b"Lumenwerk",
    b"SN-7731",
    b"maker's own notes",
    b"Exif",
    b"photoshop",
    b"a comment",
    b"xpacket",
    b"2026:03:12",
)


def _telling() -> bytes:
    """A picture taken sideways that tells place, owner, serial, maker's notes, thumbnail, comment and XMP."""
    exif = Image.Exif()
    exif[0x0112], exif[0x013B] = 6, "Ulla Brandvesk"  # orientation, artist
    fields = exif.get_ifd(0x8769)
    fields[0xA430], fields[0xA431], fields[0x927C] = "Ulla Brandvesk", "SN-7731", b"maker's own notes"
    exif.get_ifd(0x8825).update({1: "N", 2: (48.0, 8.0, 11.5), 3: "E", 4: (11.0, 34.0, 0.0)})
    picture = Image.open(io.BytesIO(picture_bytes(taken="2026:03:12 10:00:00", exif=exif)))
    picture.paste((255, 0, 0), (0, 0, 80, 80))
    out = io.BytesIO()
    exif[0x010F] = "Lumenwerk"
    fields[0x9003] = "2026:03:12 10:00:00"
    picture.save(out, "JPEG", exif=exif, comment="a comment", xmp=b"<?xpacket Ulla?>")
    held = out.getvalue()
    thumbnail = picture_bytes(size=(64, 48))
    app1 = b"Exif\0\0" + thumbnail
    place = held.index(b"\xff\xdb")
    return held[:place] + b"\xff\xe1" + (len(app1) + 2).to_bytes(2, "big") + app1 + held[place:]


def test_copy_for_others_tells_nothing_but_the_picture_upright() -> None:
    held = _telling()
    assert all(secret in held for secret in _SECRETS if secret != b"photoshop")

    copy, ending = copy_for_others(held)

    assert ending == ".jpg"
    assert not [secret for secret in _SECRETS if secret in copy]
    assert copy.count(b"\xff\xd8\xff") == 1, "no thumbnail"
    read = Image.open(io.BytesIO(copy))
    assert not read.getexif()
    assert "comment" not in read.info
    assert read.size == (300, 400), "turned upright"
    red, *_ = read.convert("RGB").getpixel((290, 10))  # type: ignore[misc]
    assert red > 240, "what was on the left is on top"


@pytest.mark.parametrize(
    ("form", "ending", "as_form"), [("PNG", ".png", "PNG"), ("WEBP", ".jpg", "JPEG"), ("HEIF", ".jpg", "JPEG")]
)
def test_copies_of_other_forms_tell_nothing_either(form: str, ending: str, as_form: str) -> None:
    if form == "HEIF":
        import pillow_heif

        pillow_heif.register_heif_opener()
    held = picture_bytes(taken="2026:03:12 10:00:00", form=form)
    assert b"Lumenwerk" in held
    assert said_by(open_picture(held)).camera == "Lumenwerk Z 5"

    copy, named = copy_for_others(held)

    assert named == ending
    assert b"Lumenwerk" not in copy
    assert Image.open(io.BytesIO(copy)).format == as_form


def pixels(held: bytes) -> str:
    return digest_of_pixels(io.BytesIO(held))


def test_what_is_written_about_a_picture_does_not_change_its_digest() -> None:
    for form in ("JPEG", "PNG"):
        one, other, third = (
            picture_bytes(taken=taken, seed=seed, form=form)
            for taken, seed in (("2026:03:12 10:00:00", 1), ("2026:03:13 10:00:00", 1), ("2026:03:12 10:00:00", 2))
        )
        assert one != other
        assert pixels(one) == pixels(other) != pixels(third)
    assert pixels(b"\xff\xd8\xff\xe0") == pixels(b"\xff\xd8")
    assert pixels(b"GIF89a") == ""


def _plain(form: str, size: tuple[int, int]) -> bytes:
    out = io.BytesIO()
    Image.new("1" if form == "PNG" else "L", size).save(out, form)
    return out.getvalue()


@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_pictures_are_opened_within_limits() -> None:
    codes = {}
    for name, held in {
        "text": b"not one",
        "200 megapixels": _plain("PNG", (20_000, 10_000)),
        "just too large": _plain("PNG", (10_001, 10_000)),
        "longer than any camera's": _plain("PNG", (65_536, 1)),
        "video": b"\0\0\0\x18ftypisom" + b"\0" * 40,
    }.items():
        with pytest.raises(Refused) as refused:
            open_picture(held)
        codes[name] = refused.value.code
    assert codes == {
        "text": "not-a-picture",
        "200 megapixels": "picture-too-large",
        "just too large": "picture-too-large",
        "longer than any camera's": "picture-too-large",
        "video": "not-a-picture",
    }
    for form in ("JPEG", "PNG"):
        held = picture_bytes(form=form)
        with pytest.raises(Refused) as refused:
            grey(open_picture(held[: len(held) // 2]))
        assert refused.value.code == "picture-not-whole"


def test_large_jpeg_is_reduced_while_it_is_decoded() -> None:
    assert grey(open_picture(_plain("JPEG", (8000, 6000)))).size == (4000, 3000)
    assert grey(open_picture(_plain("JPEG", (4000, 3000)))).size == (4000, 3000)


def test_heic_without_its_package_names_it(monkeypatch: pytest.MonkeyPatch) -> None:
    modules: Any = sys.modules
    monkeypatch.setitem(modules, "pillow_heif", None)

    with pytest.raises(Refused) as refused:
        open_picture(b"\0\0\0\x18ftypheic" + b"\0" * 40)

    assert (refused.value.code, refused.value.hint) == ("heic-not-read", "pip install 'matchmark[heic]'")
