"""The pages of a claim that people read: what is in it and how it is checked, and what was recorded later. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inventory.condition_list.values import ConditionList
from inventory.given_out.anchors import NOT_GIVEN
from inventory.papers.claim.offered import Offered

_PROOF = (
    "- journal/proof.json: the entries of the owner's record about these parts, and for each the proof that it is in "
    "the record's log."
)

_SHOWN = (
    "What it shows, and what not",
    "It shows that these entries stand in one log, in this order, and that the files are unaltered since they "
    "were written. It does not show that what they say is true. The log's anchor proves a day only if it was "
    "left with somebody else on that day: compare it with the one on a list, or in a message, given out then.",
    "",
    "How to check",
    "1. The files: sha256sum -c manifest-sha256.txt in this folder. The claim's fingerprint is the SHA-256 of "
    "manifest-sha256.txt; the record keeps it under the claim's number.",
    "2. An entry: the SHA-256 of its fields as JSON (keys sorted, no blanks, UTF-8; without hash, and without "
    "form where that is empty) is its hash. Each entry names the hash of the entry before it (previous).",
    "3. The log: the leaf of an entry is SHA-256 of a zero byte and its hash as text; with its path it gives "
    "the root (RFC 6962, section 2.1.1; RFC 9162, section 2.1.3.2), its index being its place less one.",
    "4. The record: matchmark verify, on the record itself.",
)
_NOTHING_SHOWN = (
    "What it shows, and what not",
    "It proves nothing: the record was changed outside the program, so no entry of its journal is enclosed and the "
    "record keeps no fingerprint of this claim.",
    "",
    "How to check",
    "1. The files: sha256sum -c manifest-sha256.txt in this folder.",
    "2. The record: matchmark verify, on the record itself, names what was changed.",
)

__all__ = ["later_page", "manifest", "read_first"]


def read_first(
    drawn: ConditionList, claim: int, where: str, enclosed: Sequence[tuple[str, Offered]], written_on: str
) -> str:
    """What the claim holds, what it shows and what not, and how it is checked."""
    number = f"Claim no. {claim}" if claim else "Claim"
    documents = [f"- {file}: {each.says}" for file, each in enclosed] or ["- none was chosen"]
    return "\n".join(
        [
            *([f"{drawn.state.mark}: {NOT_GIVEN}"] if drawn.unverified else []),
            f"{number}: what was {where} on {drawn.as_of}, as known on {drawn.known_on}",
            f"Written on {written_on}. Confidential.",
            *([] if drawn.unverified else drawn.state.lines),
            "",
            "What is in it",
            "- list/: the condition list as of that day, narrowed to these parts. Amounts are stated by the owner or "
            "by the named source; they are not an expert valuation.",
            "- recorded-after/: what was recorded, corrected or taken back about these parts later, "
            "apart from the list, and documents that came later.",
            *([] if drawn.unverified else [_PROOF]),
            "- manifest-sha256.txt: the SHA-256 of every other file.",
            "Documents, each chosen by the owner:",
            *documents,
            "",
            *(_NOTHING_SHOWN if drawn.unverified else _SHOWN),
            "",
        ]
    )


def later_page(drawn: ConditionList, papers: Sequence[tuple[str, Offered]]) -> str:
    """What was recorded, corrected or taken back after the day, line by line."""
    lines = [f"{drawn.state.mark}"] if drawn.unverified else []
    lines += [f"Recorded, corrected or taken back after {drawn.as_of}. None of it is in the list.", ""]
    lines += [
        f"{each.recorded_on}  {each.tag}  {each.happened}: {each.says} (so on {each.so_on})" for each in drawn.later
    ]
    lines += [f"{file}  {', '.join(each.tags)}: document that came later" for file, each in papers]
    if not drawn.later and not papers:
        lines.append("nothing")
    return "\n".join(lines) + "\n"


def manifest(digests: Mapping[str, str]) -> str:
    """The SHA-256 of each file, as sha256sum writes and checks it."""
    return "".join(f"{digest}  {name}\n" for name, digest in sorted(digests.items()))
