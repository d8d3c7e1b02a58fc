"""Facts about the record itself: withdrawals, wrong clocks, saved answers for sheets, limits, words removed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused, UnknownName
from inventory.facts.declare import FactKind, ThingKind
from inventory.record.tables import SheetMapping, SheetReading, WorkshopData
from inventory.store.begin import RECORD_THING
from inventory.store.tables import RecordInfo, Redaction, Withdrawal, WrongClock
from inventory.store.words.text import clean, fold

__all__ = ["FACTS", "THINGS"]


def _removed_stays(_session: Session, _rows: Sequence[Any]) -> None:
    raise Refused("fact-fixed", "Words that were removed for good cannot be brought back", hint="write them anew")


FACTS = (
    FactKind(
        Withdrawal,
        "withdrawal",
        (),
        says=lambda values: f"taken back: {values['fact']}",
        not_correctable=("A withdrawal cannot be corrected, only taken back", "matchmark fact withdraw"),
    ),
    FactKind(
        WrongClock,
        "wrong clock",
        ("record",),
        says=lambda values: f"entries from {values['from_at']} to {values['until_at']}: written with a wrong clock",
        not_correctable=(
            "A statement about a clock cannot be corrected: take it back and state it again",
            "matchmark clock wrong",
        ),
    ),
    FactKind(
        SheetMapping,
        "way of reading sheets",
        ("record",),
        says=lambda values: f"saved answers for sheets with the headers {', '.join(json.loads(values['answers']))}",
        not_correctable=(
            "Saved answers for sheets cannot be corrected: save them again or take them back",
            "matchmark sheet read FILE --keep-answers",
        ),
    ),
    FactKind(
        SheetReading,
        "sheet read",
        ("record",),
        says=lambda values: f"read in: {values['file_name']}, {values['tab']}: {values['rows']} rows",
        not_correctable=(
            "That a sheet was read cannot be corrected: take it back, or read the sheet again",
            "matchmark sheet read FILE",
        ),
        travels="no",
    ),
    FactKind(
        WorkshopData,
        "workshop limits",
        ("record",),
        says=lambda values: f"the workshop's own limits, from {values['file_name']} ({values['digest'][:12]})",
        not_correctable=(
            "Limits that were taken in cannot be corrected: take in the file again, or take them back",
            "matchmark limits take FILE",
        ),
        how_known="stated",
        travels="no",
    ),
    FactKind(
        Redaction,
        "words removed",
        (),
        says=lambda values: f"words removed for good: {values['of_column']} of {values['of_table']}-{values['of_key']}",
        check_withdrawal=_removed_stays,
        not_correctable=("Words that were removed for good cannot be brought back", "write them anew"),
        travels="no",
    ),
)


def _find(_session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    """The record itself is called "record"."""
    if fold(clean(typed)) not in ("record", "therecord"):
        raise UnknownName("record", typed, [], known=("record",))
    return RECORD_THING


def _names(_session: Session, keys: Iterable[int]) -> dict[int, str]:
    return dict.fromkeys(keys, "record")


THINGS = (ThingKind("record", RecordInfo, _find, _names),)
"""The record itself, for facts that are about no single thing."""
