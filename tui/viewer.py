"""Looking at a picture or paper: with the system's own viewer, or in a terminal that can draw pictures."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from inventory.errors import Refused
from inventory.store import systems

__all__ = ["open_outside", "print_picture", "terminal_without_pictures"]

#: What is given to the system's viewer, by media type: pictures and PDF only, since others may be run.
_ENDINGS = {
    "image/jpeg": ".jpg",
    "image/png": ".png",
    "image/webp": ".webp",
    "image/tiff": ".tif",
    "image/gif": ".gif",
    "image/bmp": ".bmp",
    "image/heic": ".heic",
    "application/pdf": ".pdf",
}


def open_outside(held: bytes, digest: str, media_type: str) -> None:
    """Open a copy of a document with the system's viewer. Raises `Refused` for other files, or without a viewer."""
    if media_type not in _ENDINGS:
        raise Refused(
            "not-opened", "Only pictures and PDF files are opened", hint=f"matchmark document get {digest[:12]}"
        )
    opener = _opener()
    folder = Path(tempfile.mkdtemp(prefix="matchmark-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    copy = folder / f"{digest[:12]}{_ENDINGS[media_type]}"
    copy.write_bytes(held)  # the folder is its owner's only
    copy.chmod(0o400)
    if opener is None:
        os.startfile(copy)  # type: ignore[attr-defined]  # noqa: S606 - the system's own way
    else:
        quiet = subprocess.DEVNULL
        subprocess.Popen([opener, copy], stdin=quiet, stdout=quiet, stderr=quiet, start_new_session=True)  # noqa: S603


def _opener() -> str | None:
    """The command that opens a file; None on Windows, which needs none."""
    if not systems.THIS.viewer:
        return None
    on_linux = systems.THIS is systems.LINUX
    has_screen = not on_linux or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    found = shutil.which(systems.THIS.viewer)
    if not has_screen or found is None:
        raise Refused("no-viewer", "There is no viewer on this machine", hint="matchmark document get writes the file")
    return found


def print_picture(held: bytes) -> None:
    """Print a picture to the terminal and wait for Enter, while the browser is suspended.

    Raises `Refused` if the terminal cannot draw pictures: then nothing is shown in their place.
    """
    from inventory.documents.picture import open_picture, upright

    picture = upright(open_picture(held))
    try:
        from textual_image.renderable import Image, SixelImage, TGPImage
    except ImportError:
        hint = "pip install 'matchmark[terminal-pictures]'"
        raise Refused(
            "pictures-not-drawn", "Showing pictures in a terminal needs one more package", hint=hint
        ) from None
    if Image not in (SixelImage, TGPImage):
        raise terminal_without_pictures()
    from rich.console import Console

    console = Console()
    console.print(Image(picture, width=console.width, height=console.height - 2))
    console.input("Enter goes back ")


def terminal_without_pictures() -> Refused:
    """The refusal where the terminal cannot draw pictures."""
    return Refused("terminal-without-pictures", "This terminal cannot show pictures", hint="Enter opens a viewer")
