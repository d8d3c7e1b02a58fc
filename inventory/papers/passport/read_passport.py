"""Opens a passport and checks it, without a record: is it unaltered, who signed it, and who says that it is so."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from inventory.errors import Refused
from inventory.given_out.anchors import grouped
from inventory.papers.passport.bag import TAG_FILES, TAG_MANIFEST, problems_of
from inventory.papers.passport.history import PartHistory, history_from
from inventory.papers.passport.missing import by_source
from inventory.papers.passport.read_keys import known_keys, need_library
from inventory.papers.passport.read_zip import ZippedFiles, open_zip
from inventory.papers.passport.signing import fingerprint_of, fits
from inventory.papers.passport.write_passport import HISTORY, SIGNATURE

__all__ = ["Checked", "Signature", "check_passport", "opened_passport", "says_of"]

_SIGNED = re.compile(rf"key: ([0-9a-f]{{64}})\nsignature of {re.escape(TAG_MANIFEST)}: ([0-9a-f]{{128}})\n")


@dataclass(frozen=True)
class Signature:
    """`state`: none, fits, does not fit, or not checked (without the library). `name`: as whose the key is known."""

    state: Literal["none", "fits", "does not fit", "not checked"]
    key: str = ""
    name: str = ""

    @property
    def says(self) -> str:
        """The signature in a sentence."""
        if self.state == "none":
            return "Not signed: the hashes show damage on the way, not that nobody wrote all of it anew"
        if self.state == "not checked":
            return "Signed, but not checked: pip install 'matchmark[signatures]'"
        if self.state == "does not fit" and not self.key:
            return "The signature is not one that can be read"
        whose = f"key {fingerprint_of(self.key)}"
        if self.state == "does not fit":
            return f"The signature does not fit: {whose} did not sign what is here"
        if self.name:
            return f"Signed by {whose}, known here as that of {self.name}"
        ask = "ask its owner, by another way than this file, whether it is theirs; then: matchmark passport key trust"
        return f"Signed by {whose}, which is not known here: {ask}"


@dataclass(frozen=True)
class Checked:
    """What a check found, three things apart. `history`: None if it cannot be read from an altered passport."""

    problems: tuple[str, ...]
    signature: Signature
    history: PartHistory | None

    @property
    def ok(self) -> bool:
        """Whether it is unaltered and no signature fails to fit."""
        return not self.problems and self.signature.state != "does not fit"

    @property
    def sources(self) -> dict[str, int]:
        """How many facts there are of each sort of source."""
        facts = self.history.facts if self.history is not None else ()
        return {source: len(told) for source, told in by_source(facts).items()}

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `passport check`."""
        told: dict[str, Any] = {"ok": self.ok, "unaltered": not self.problems, "problems": list(self.problems)}
        told["signature"] = {"state": self.signature.state, "key": self.signature.key, "known_as": self.signature.name}
        told["sources"] = self.sources
        if self.history is not None:
            history = self.history
            told |= {"tag": history.part["tag"], "number": history.number, "record": history.record}
            told |= {"written_on": history.written_on, "facts": len(history.facts), "fingerprint": history.fingerprint}
        return told


@contextmanager
def opened_passport(path: Path) -> Iterator[tuple[ZippedFiles, Checked]]:
    """The files of a passport, and what a check of it finds. Raises `Refused` for what is no passport, or not safe."""
    with open_zip(path) as files:
        yield files, _checked(files)


def check_passport(path: Path) -> Checked:
    """Check a passport. Nothing is written, and no record is needed."""
    with opened_passport(path) as (_, checked):
        return checked


def _checked(files: ZippedFiles) -> Checked:
    problems = problems_of(files.sizes, files.digest, files.text) + _not_as_written(files)
    signature = _signature(files)
    name = f"data/{HISTORY}"
    text = files.text(name) if name in files.sizes else None
    try:
        if text is None:
            raise Refused("not-a-passport", f"This is no passport: it has no {name} that can be read")
        history = history_from(text)
    except Refused:
        if not problems:
            raise
        return Checked(tuple(problems), signature, None)
    return Checked((*problems, *_documents(history, files)), signature, history)


def _not_as_written(files: ZippedFiles) -> list[str]:
    """What a bag may have and a passport has not: files that no manifest vouches for, beside its data."""
    beside = {name for name in files.sizes if not name.startswith("data/")} - TAG_FILES - {SIGNATURE}
    missing = [] if TAG_MANIFEST in files.sizes else [f"{TAG_MANIFEST} is missing"]
    return [*missing, *(f"{name} is no file of a passport" for name in sorted(beside))]


def _documents(history: PartHistory, files: ZippedFiles) -> list[str]:
    """The documents that the history names and that are not there as it says."""
    return [
        f"data/{each.file} is not the document that the history names"
        for each in history.documents
        if f"data/{each.file}" not in files.sizes or files.digest(f"data/{each.file}") != each.sha256
    ]


def _signature(files: ZippedFiles) -> Signature:
    if SIGNATURE not in files.sizes:
        return Signature("none")
    read = _SIGNED.fullmatch(files.text(SIGNATURE) or "")
    if read is None:
        return Signature("does not fit")
    key, signature = read.groups()
    try:
        need_library()
    except Refused:
        return Signature("not checked", key)
    signed = files.read(TAG_MANIFEST) if TAG_MANIFEST in files.sizes else None
    if signed is None or not fits(key, signature, signed):
        return Signature("does not fit", key)
    return Signature("fits", key, known_keys().get(key, ""))


def says_of(checked: Checked) -> list[str]:
    """What a check found, for people: unaltered or not, signed by whom, and who says that it is so."""
    lines = []
    if history := checked.history:
        part = " ".join(str(history.part.get(name) or "") for name in ("kind", "maker", "part_number")).split()
        lines.append(f"Part history of {history.part['tag']}, {' '.join(part)}, written on {history.written_on}")
        lines.append(f"Fingerprint {grouped(history.fingerprint)}, passport no. {history.number}")
    if checked.problems:
        lines.append("ALTERED since it was written:")
        lines += [f"  {problem}" for problem in checked.problems[:20]]
        lines += [f"  and {len(checked.problems) - 20} more"] if len(checked.problems) > 20 else []
    else:
        lines.append("Unaltered since it was written: every file is as its manifests say")
    lines.append(checked.signature.says)
    if checked.sources:
        lines.append("Who says that it is so, which no key can prove:")
        lines += [f"  {source}: {many}" for source, many in checked.sources.items()]
    return lines
