"""The file of a paper for others: it gets its name only once the record has the paper as written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Refused
from inventory.store.files import whole_file

__all__ = ["PaperFile", "paper_file"]


@dataclass
class PaperFile:
    """A paper under way. `part`: where its bytes go. `on_record`: what the act that is under way stores ("slip 3").

    It stays "" for a paper of which the record keeps nothing.
    """

    part: Path
    on_record: str = ""


@contextmanager
def paper_file(path: Path, *, overwrite: bool = False) -> Iterator[PaperFile]:
    """The file of a paper, as `whole_file` makes it: `with paper_file(path) as file, record.write() as session`.

    The act that stores the paper is committed inside, so no file with a number is ever without its paper on record.
    Raises `Refused`; where the file cannot get its name after the commit, that says that the record has the paper.
    """
    on_record = ""
    try:
        with whole_file(path, overwrite=overwrite) as part:
            file = PaperFile(part)
            yield file
            on_record = file.on_record
    except Refused as refusal:
        if not on_record:
            raise
        says = f"{refusal.message}. The record has {on_record} as written"
        raise Refused(refusal.code, says, where=refusal.where, hint=refusal.hint, unchanged=False) from None
