"""A small file of parts that have no mate here, for another workshop to look through; and such a file read. Pure.

What goes out of each part: its label, kind, number, letter and how it was read, seals, and how likely it is
serviceable. No person, no place, no price, no serial. The file is JSON, so that anybody can see what is in it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any, cast, get_args

from inventory.errors import Refused
from inventory.pairing.candidate import PAIRED_KINDS, Candidate, CodeState, OnRecord, ReadFrom, SealNoted, SealState
from inventory.store.text import clean, squeeze

__all__ = ["FORMAT", "LARGEST", "THEIRS", "offer_text", "read_offer_text"]

FORMAT = "matchmark offer 1"
LARGEST = 20_000_000
"""No offer is longer than this (bytes)."""
THEIRS = "their "
"""Stands before the label of a part of another workshop."""

_MOST = 100_000
_LONGEST = 200


def offer_text(parts: Iterable[Candidate], made_on: str) -> str:
    """The file: parts without a mate, and the day (ISO) it was written."""
    rows = [
        {
            "label": half.tag,
            "kind": half.kind,
            "part_number": half.part_number,
            "match_code": half.match_code,
            "match_code_state": half.match_code_state,
            "match_code_read_from": half.match_code_read_from,
            "seals": [
                {"seal": seal.seal, "state": seal.state, "with_document": seal.has_document}
                for seal in half.seals_noted
            ],
            "seal_state": half.seal_state,
            "seals_never_noted": list(half.seals_never_noted),
            "worked_on_inside": half.opened is not None,
            "not_passed": half.decisive_failure is not None,
            "p_serviceable": round(half.p_serviceable, 3),
        }
        for half in sorted(parts, key=lambda half: (half.kind, half.tag))
    ]
    return json.dumps({"format": FORMAT, "made_on": made_on, "parts": rows}, ensure_ascii=False, indent=1) + "\n"


def read_offer_text(text: str, where: str) -> tuple[Candidate, ...]:
    """The parts of another workshop's file, each label with "their" before it; refused where it is no such file."""
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
        told = _Row(row, f"{where}, part {place}")
        found.append(
            Candidate(
                tag=f"{THEIRS}{told.text('label')}",
                kind=told.one_of("kind", PAIRED_KINDS),
                part_number=told.text("part_number"),
                part_number_squeezed=squeeze(told.text("part_number")),
                p_serviceable=told.share("p_serviceable"),
                match_code=told.text("match_code"),
                match_code_state=cast("CodeState", told.one_of("match_code_state", get_args(CodeState))),
                match_code_read_from=cast("ReadFrom", told.one_of("match_code_read_from", get_args(ReadFrom))),
                seal_state=cast("SealState", told.one_of("seal_state", get_args(SealState))),
                seals_noted=tuple(told.seals()),
                seals_never_noted=told.texts("seals_never_noted"),
                opened=OnRecord("worked on inside, says its workshop") if told.yes("worked_on_inside") else None,
                decisive_failure=OnRecord("not passed on its workshop's bench") if told.yes("not_passed") else None,
            )
        )
    return tuple(found)


class _Row:
    """One part of an offer, every value looked at before it is taken."""

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
            told = _Row(each, self._where)
            state = cast("SealState", told.one_of("state", get_args(SealState)))
            yield SealNoted(told.text("seal"), state, has_document=told.yes("with_document"))


def _no_offer(where: str, why: str) -> Refused:
    return Refused(
        "not-an-offer",
        f"{where} is not an offer of parts: {why}",
        hint="the other workshop writes one with: matchmark pairs offer parts.json",
    )
