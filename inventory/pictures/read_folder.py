"""Reads the pictures of a folder and those in it: when each was taken, with which camera, and the codes in it."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import zxingcpp

from inventory.documents.picture import digest_of_pixels, grey, may_be_picture, open_picture, said_by
from inventory.documents.read_given import digest_given
from inventory.errors import Refused
from inventory.pictures.look import Look
from inventory.store.systems import why_not

__all__ = ["OnProgress", "files_in", "look_at", "read_folder"]

#: Called with the step, how much of it is done, and how much there is.
OnProgress = Callable[[str, int, int | None], None]
READING = "reading"
#: Pictures that are decoded at the same time: each takes some tens of MB. The libraries release Python's lock.
_AT_ONCE = 4
_HEAD_BYTES = 16
_QR_CODES = zxingcpp.barcode_formats_from_str("QRCode")


def read_folder(folder: Path, on_progress: OnProgress, *, but: Path | None = None) -> list[Look]:
    """Read all files of a folder and its subfolders; hidden ones, links and the folder `but` are left out.

    A file that changes meanwhile, or lacks a part, is told as still being copied. Raises `Refused` if the folder cannot
    be read.
    """
    paths = list(files_in(folder, but))
    before = [_state(path) for path in paths]
    looks: list[Look] = []
    with ThreadPoolExecutor(min(_AT_ONCE, os.cpu_count() or 1)) as pool:
        try:
            for look in pool.map(lambda path: look_at(path, path.relative_to(folder).as_posix()), paths):
                looks.append(look)
                on_progress(READING, len(looks), len(paths))
        finally:
            pool.shutdown(cancel_futures=True)
    return [
        replace(look, why_not="it changed while it was read; it may still be being copied")
        if not look.why_not and _state(path) != state
        else look
        for look, path, state in zip(looks, paths, before, strict=True)
    ]


def look_at(path: Path, name: str) -> Look:
    """Read one file; what is no picture is told as such after its first bytes."""
    try:
        with path.open("rb") as file:
            if not may_be_picture(file.read(_HEAD_BYTES)):
                return Look(name, why_not="no picture")
        modified = datetime.fromtimestamp(path.stat().st_mtime, UTC)
        digest, size = digest_given(path)
    except (OSError, Refused, OverflowError, ValueError) as problem:  # the time of a file may be out of all bounds
        return Look(name, why_not=getattr(problem, "strerror", None) or str(problem))
    look = Look(name, digest, size)
    try:
        with path.open("rb") as file:
            picture = open_picture(file)
            said = said_by(picture)
            look = replace(look, taken=said.taken or modified, by_camera=said.taken is not None, camera=said.camera)
            codes = zxingcpp.read_barcodes(grey(picture), formats=_QR_CODES, try_invert=False)  # dark labels on white
            pixels = digest_of_pixels(file)
    except Refused as refused:
        return replace(look, why_not=f"{refused.message[:1].lower()}{refused.message[1:]}" + _hint(refused))
    except OSError as problem:
        return replace(look, why_not=problem.strerror or str(problem))
    texts = tuple(dict.fromkeys(code.text for code in codes if code.text))
    return replace(look, codes=texts, pixels=pixels)


def files_in(folder: Path, but: Path | None) -> Iterator[Path]:
    """The files of a folder and its subfolders; hidden ones, links and the folder `but` are left out."""

    def refuse(problem: OSError) -> None:
        if problem.filename is None or Path(problem.filename) == folder:
            raise Refused("folder-not-readable", f"{folder} cannot be read: {why_not(problem)}", where=str(folder))

    but_there = but and os.path.realpath(but)  # the folder may be named in another way, such as "."
    for place, folders, names in os.walk(folder, onerror=refuse):
        folders[:] = sorted(
            name for name in folders if not name.startswith(".") and os.path.realpath(Path(place, name)) != but_there
        )
        for name in sorted(names):
            path = Path(place, name)
            with suppress(OSError):
                if not name.startswith(".") and stat.S_ISREG(path.lstat().st_mode):
                    yield path


def _state(path: Path) -> tuple[int, int] | None:
    with suppress(OSError):
        found = path.stat()
        return found.st_size, found.st_mtime_ns
    return None


def _hint(refused: Refused) -> str:
    return f" ({refused.hint})" if refused.hint else ""
