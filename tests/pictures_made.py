"""Pictures as a camera makes them, small: with EXIF data, and with the codes of labels."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import segno
from PIL import Image

__all__ = ["make_picture", "picture_bytes"]


def picture_bytes(
    *codes: str,
    taken: str | None = None,
    camera: tuple[str, str] | None = ("Lumenwerk", "Z 5"),
    exif: Image.Exif | None = None,
    size: tuple[int, int] = (400, 300),
    seed: int = 0,
    form: str = "JPEG",
) -> bytes:
    """The bytes of a picture; with the same seed it shows the same."""
    few = np.random.default_rng(seed).integers(0, 255, (6, 8, 3), dtype=np.uint8)
    picture = Image.fromarray(few).resize(size, Image.Resampling.BICUBIC)
    for place, code in enumerate(codes):
        drawn = io.BytesIO()
        segno.make(code, error="m", micro=False).save(drawn, kind="png", scale=4, border=4)
        picture.paste(Image.open(drawn).convert("RGB"), (20 + place * 190, 60))
    exif = exif or Image.Exif()
    if camera:
        exif[0x010F], exif[0x0110] = camera
    if taken:
        exif.get_ifd(0x8769)[0x9003] = taken
    out = io.BytesIO()
    picture.save(out, form, exif=exif)
    return out.getvalue()


def make_picture(path: Path, *codes: str, taken: str | None = None, seed: int | None = None, **named: object) -> Path:
    """A picture in a file; another name shows another picture."""
    seed = sum(map(ord, path.name)) if seed is None else seed
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(picture_bytes(*codes, taken=taken, seed=seed, **named))  # type: ignore[arg-type]
    return path
