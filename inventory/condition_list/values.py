"""A condition list as a whole. The values of its items are in `item_values`, its other values in `list_values`.

All can be imported from here. None means not known; texts and tables write that in words, never as an empty cell.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import orjson

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
)
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


@dataclass(frozen=True)
class ConditionList:
    """Every part in the house on a day, as known on a day, valued on one basis.

    `totals` counts our own parts, loose or on a car that is not insured whole; `totals_by_tax` is the same sum, apart
    by what is said of tax. `other_totals` counts the rest, without what nobody knows whose it is. `gaps`: first those
    that matter most. `edition` of the reference data.
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
    evidence: tuple[EvidenceEntry, ...] = ()
    later: tuple[Later, ...] = ()
    changes: Changes | None = None
    holders: dict[str, str] = field(default_factory=dict, compare=False, repr=False)

    def as_dict(self) -> dict[str, Any]:
        """The JSON of the list. Who "customer A" is stands only in `holders`, which is never written to a file."""
        content: dict[str, Any] = orjson.loads(orjson.dumps(self._content()))
        return {**content, "fingerprint": self.fingerprint}

    @property
    def top_gaps(self) -> tuple[Gap, ...]:
        """The ten gaps that matter first."""
        return self.gaps[:10]

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256, hexadecimal, of the list's JSON without it: keys sorted, no blanks, UTF-8."""
        written = orjson.dumps(self._content(), _plainly, orjson.OPT_PASSTHROUGH_DATACLASS | orjson.OPT_SORT_KEYS)
        return hashlib.sha256(written).hexdigest()

    @property
    def fingerprint_shown(self) -> str:
        """The first 32 digits of the fingerprint in 8 groups of 4, for reading out and comparing by eye."""
        return " ".join(self.fingerprint[start : start + 4] for start in range(0, 32, 4))

    def _content(self) -> dict[str, Any]:
        told = {each.name: getattr(self, each.name) for each in fields(self) if each.name != "holders"}
        return {**told, "reasons": [reason.as_dict() for reason in self.reasons]}


def _plainly(value: Any) -> dict[str, Any]:
    """The fields of an item, so that its keys can be sorted."""
    return dict(vars(value))
