"""Writes and reads an offer: a small file of parts without a mate, for another workshop. Pure.

For each part it holds label, kind, number, letter and how it was read, seals, and how likely it is serviceable. It
holds no person, place, price or serial. It is JSON, so that anybody can see what is in it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any, cast, get_args

from inventory.errors import Refused
from inventory.pairing.candidate import (
    PAIRED_KINDS,
    Candidate,
    CodeState,
    OnRecord,
    ReadFrom,
    SealNoted,
    SealState,
    TestBeside,
)
from inventory.store.words.text import clean, squeeze

__all__ = ["FORMAT", "LARGEST", "THEIRS", "offer_text", "read_offer_text"]

FORMAT = "matchmark offer 1"
LARGEST = 20_000_000
"""The size limit of an offer, in bytes."""
THEIRS = "their "
"""Prefix of the label of a part of another workshop."""

_NOT_PASSED = TestBeside("", "fail", "failed a test on its workshop's bench")
_MOST = 100_000
_LONGEST = 200


def offer_text(parts: Iterable[Candidate], made_on: str) -> str:
    """The text of an offer: parts without a mate, and the ISO day on which it was written."""
    rows = [
        {
            "label": part.tag,
            "kind": part.kind,
            "part_number": part.part_number,
            "match_code": part.match_code,
            "match_code_state": part.match_code_state,
            "match_code_read_from": part.match_code_read_from,
            "seals": [
                {"seal": seal.seal, "state": seal.state, "with_document": seal.has_document}
                for seal in part.seals_noted
            ],
            "seal_state": part.seal_state,
            "seals_never_noted": list(part.seals_never_noted),
            "worked_on_inside": part.opened is not None,
            "not_passed": bool(part.failed),
            "p_serviceable": round(part.p_serviceable, 3),
        }
        for part in sorted(parts, key=lambda part: (part.kind, part.tag))
    ]
    return json.dumps({"format": FORMAT, "made_on": made_on, "parts": rows}, ensure_ascii=False, indent=1) + "\n"


def read_offer_text(text: str, where: str) -> tuple[Candidate, ...]:
    """The parts of another workshop's offer, each label with "their" before it. Raises `Refused` for any other file."""
    try:
        held = json.loads(text)
    except (ValueError, RecursionError):
        raise _no_offer(where, "it is not JSON") from None
    if not isinstance(held, dict) or held.get("format") != FORMAT or not isinstance(held.get("parts"), list):
        raise _no_offer(where, f'it does not begin as one ("format": "{FORMAT}")')
    if len(held["parts"]) > _MOST:
        raise _no_offer(where, f"it names more than {_MOST} parts")
    found = []
    for place, row in enumerate(held["parts"], 1):
        checked = _CheckedRow(row, f"{where}, part {place}")
        found.append(
            Candidate(
                tag=f"{THEIRS}{checked.text('label')}",
                kind=checked.one_of("kind", PAIRED_KINDS),
                part_number=checked.text("part_number"),
                part_number_squeezed=squeeze(checked.text("part_number")),
                p_serviceable=checked.share("p_serviceable"),
                match_code=checked.text("match_code"),
                match_code_state=cast("CodeState", checked.one_of("match_code_state", get_args(CodeState))),
                match_code_read_from=cast("ReadFrom", checked.one_of("match_code_read_from", get_args(ReadFrom))),
                seal_state=cast("SealState", checked.one_of("seal_state", get_args(SealState))),
                seals_noted=tuple(checked.seals()),
                seals_never_noted=checked.texts("seals_never_noted"),
                opened=OnRecord("worked on inside, its workshop says") if checked.yes("worked_on_inside") else None,
                tests=(_NOT_PASSED,) if checked.yes("not_passed") else (),
            )
        )
    return tuple(found)


class _CheckedRow:
    """One part of an offer, with checked values."""

    def __init__(self, row: object, where: str) -> None:
        if not isinstance(row, dict):
            raise _no_offer(where, "it is not a list of values")
        self._row: Mapping[str, Any] = row
        self._where = where

    def text(self, name: str) -> str:
        value = self._row.get(name, "")
        if not isinstance(value, str) or len(value) > _LONGEST:
            raise _no_offer(self._where, f"its {name} is not a text of at most {_LONGEST} characters")
        return clean(value)

    def one_of(self, name: str, words: Iterable[str]) -> str:
        word = self.text(name)
        if word not in words:
            raise _no_offer(self._where, f'its {name} is "{word}"')
        return word

    def texts(self, name: str) -> tuple[str, ...]:
        value = self._row.get(name, [])
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            raise _no_offer(self._where, f"its {name} is not a list of texts")
        return tuple(clean(each[:_LONGEST]) for each in value[:20])

    def share(self, name: str) -> float:
        value = self._row.get(name)
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value <= 1.0:
            raise _no_offer(self._where, f"its {name} is not between 0 and 1")
        return float(value)

    def yes(self, name: str) -> bool:
        return self._row.get(name) is True

    def seals(self) -> Iterable[SealNoted]:
        value = self._row.get("seals", [])
        if not isinstance(value, list):
            raise _no_offer(self._where, "its seals are not a list")
        for each in value[:20]:
            checked = _CheckedRow(each, self._where)
            state = cast("SealState", checked.one_of("state", get_args(SealState)))
            yield SealNoted(checked.text("seal"), state, has_document=checked.yes("with_document"))


def _no_offer(where: str, why: str) -> Refused:
    return Refused(
        "not-an-offer",
        f"{where} is not an offer of parts: {why}",
        hint="the other workshop writes one with: matchmark pairs offer parts.json",
    )
