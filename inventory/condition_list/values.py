"""A condition list as a whole. The values of its items are in `item_values`, its other values in `list_values`.

All can be imported from here. None means not known; texts and tables write that in words, never as an empty cell.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import orjson

from inventory.condition_list.fingerprint import FORM, check_lines, fingerprint_of
from inventory.condition_list.item_values import (
    ConditionSeen,
    Description,
    Evidence,
    Item,
    Mark,
    Relation,
    Run,
    Seal,
    Seen,
    Statement,
    Unfitting,
    Value,
    Where,
)
from inventory.condition_list.list_values import (
    NOT_READ,
    Change,
    Changes,
    Converted,
    EvidenceEntry,
    Front,
    Gap,
    LargestLoss,
    Later,
    Options,
    Premises,
    RateUsed,
    top_gaps,
)
from inventory.condition_list.roles import Named
from inventory.given_out.anchors import NOT_GIVEN, Anchor, RecordState, grouped
from inventory.reasons import Reason

__all__ = [
    "Change",
    "Changes",
    "ConditionList",
    "ConditionSeen",
    "Converted",
    "Description",
    "Evidence",
    "EvidenceEntry",
    "Front",
    "Gap",
    "Item",
    "LargestLoss",
    "Later",
    "Mark",
    "Options",
    "Premises",
    "RateUsed",
    "Relation",
    "Run",
    "Seal",
    "Seen",
    "Statement",
    "Unfitting",
    "Value",
    "Where",
]


_NEVER_WRITTEN = frozenset({"holders", "named"})


@dataclass(frozen=True)
class ConditionList:
    """Every part in the house on a day, as known on a day, valued on one basis.

    `totals` counts our own parts, loose or on a car that is not insured whole; `totals_by_tax` is the same sum, apart
    by what is said of tax. `other_totals` counts the rest, without what nobody knows whose it is. `gaps`: first those
    that matter most. `edition` of the reference data; `facts`: the digest of those that it was drawn from. `limits`:
    those of the workshop's own that it was judged by, in words; None without any. `anchor`: the record's, after
    `anchor_size` entries; `unverified`: how many problems the record had, if it was written all the same: then it has
    no number (0) and no fingerprint.
    """

    number: int
    as_of: str
    known_on: str
    basis: str
    prepared_by: str | None
    items: tuple[Item, ...]
    totals: dict[str, str]
    other_totals: dict[str, str]
    other_totals_by_heading: dict[str, dict[str, str]]
    left_out: tuple[dict[str, Any], ...]
    without_picture: int
    without_value: int
    seen_within_12_months: int
    stale_values: int
    gaps: tuple[Gap, ...]
    reasons: tuple[Reason, ...]
    front: Front = field(default_factory=Front)
    premises: tuple[Premises, ...] = ()
    largest_loss: tuple[LargestLoss, ...] = ()
    totals_by_tax: dict[str, dict[str, str]] = field(default_factory=dict)
    totals_proposed: dict[str, str] = field(default_factory=dict)
    converted: Converted | None = None
    options: Options = field(default_factory=Options)
    edition: str = ""
    limits: str | None = None
    facts: str = ""
    evidence: tuple[EvidenceEntry, ...] = ()
    later: tuple[Later, ...] = ()
    changes: Changes | None = None
    anchor: str | None = None
    anchor_size: int | None = None
    unverified: int = 0
    holders: dict[str, str] = field(default_factory=dict, compare=False, repr=False)
    named: tuple[Named, ...] = field(default=(), compare=False, repr=False)

    def as_dict(self) -> dict[str, Any]:
        """The JSON of the list. Who "customer A" is stands only in `holders`, which is never written to a file.

        Nor is `named`: the texts of an insurer's list that name somebody.
        """
        if self.unverified:
            return {**self._content, "number": None, "form": FORM, "check": {}, "fingerprint": None}
        return {**self._content, "form": FORM, "check": self.check, "fingerprint": self.fingerprint}

    @property
    def state(self) -> RecordState:
        """How the list stands to its record."""
        held = self.anchor is not None and self.anchor_size is not None
        return RecordState(Anchor(self.anchor or "", self.anchor_size or 0) if held else None, self.unverified)

    @property
    def title(self) -> str:
        """What it is, with its number; or that it has none because the record did not fit."""
        return f"Condition list, {self.state.mark}" if self.unverified else f"Condition list no. {self.number}"

    @property
    def foot(self) -> str:
        """The two lines at the foot of each page."""
        state = self.state
        if state.problems:
            return f"{state.mark}\n{NOT_GIVEN}"
        return f"Fingerprint {self.fingerprint_shown}\nRecord's anchor {state.says}"

    @property
    def has_marks_told(self) -> bool:
        """Whether a number or mark of an item is known from a sheet or passport alone."""
        return any(mark.told for item in self.items for mark in item.marks_verbatim)

    @property
    def cells_not_read(self) -> int:
        """How many cells of sheets about its items could not be read."""
        return sum(gap.sort == NOT_READ for gap in self.gaps)

    @property
    def top_gaps(self) -> tuple[Gap, ...]:
        """The ten gaps that matter first, one for an item."""
        return top_gaps(self.gaps)

    @cached_property
    def check(self) -> dict[str, str]:
        """The lines that a file carries, so that it can be checked against its fingerprint."""
        return check_lines(self, self._content)

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256, hexadecimal, of the lines in `check`."""
        return fingerprint_of(self.check)

    @property
    def fingerprint_shown(self) -> str:
        """The first 32 digits of the fingerprint in 8 groups of 4, for reading out and comparing by eye."""
        return grouped(self.fingerprint)

    @cached_property
    def _content(self) -> dict[str, Any]:
        told = {each.name: getattr(self, each.name) for each in fields(self) if each.name not in _NEVER_WRITTEN}
        content: dict[str, Any] = orjson.loads(
            orjson.dumps({**told, "reasons": [each.as_dict() for each in self.reasons]})
        )
        return content
