"""What a condition list consists of: the items, each with what is told of it, and the list as a whole. Values only.

None means that it is not known; the sheets say so in words, never with an empty cell.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import orjson

from inventory.parts.judgements import Identity
from inventory.reasons import Reason

__all__ = ["ConditionList", "Evidence", "Gap", "Item", "Looks", "Run", "Seal", "Seen", "Told", "Value", "Where"]


@dataclass(frozen=True)
class Told:
    """When something was so, who says it, how they know, and the fact it stands in.

    `on` is EDTF, `told` the words of a vague date; `earliest` and `latest` are ISO 8601 days.
    """

    on: str
    told: str | None
    earliest: str
    latest: str
    by: str
    how_known: str
    fact: str


@dataclass(frozen=True)
class Where:
    """Where a part is: `state` is loose, on a car or away; `premises` where it lies loose; `says` for people."""

    state: str
    says: str
    premises: str | None
    car: str | None


@dataclass(frozen=True)
class Seen:
    """When a part was last before somebody, and how."""

    how: str
    when: Told


@dataclass(frozen=True)
class Looks:
    """How a part looks: class 0 to 3 (None: not assessed), what is damaged or missing, whether it gets worse."""

    category: int | None
    damage: str | None
    missing: str | None
    trend: str | None
    when: Told


@dataclass(frozen=True)
class Run:
    """One bench run, with what it proves."""

    procedure: str
    verdict: str
    says: str
    when: Told


@dataclass(frozen=True)
class Seal:
    """One look at one seal; `document` tells whether a paper stands behind it."""

    seal: str
    state: str
    document: bool
    when: Told


@dataclass(frozen=True)
class Value:
    """One value stated; `standing` says whose word it is."""

    amount: str
    currency: str
    basis: str
    source: str | None
    capacity: str | None
    document: str | None
    standing: str
    stale: bool
    when: Told


@dataclass(frozen=True)
class Evidence:
    """A picture or paper: its id, what it shows, and the first 16 signs of the SHA-256 of its bytes."""

    document: str
    shows: str
    picture: bool
    digest16: str
    when: Told


@dataclass(frozen=True, kw_only=True)
class Item(Identity):
    """One part on the list."""

    number: int
    tag: str
    kind: str
    whose: str
    holder: str
    where: Where
    last_seen: Seen | None
    condition: Looks | None
    works: Run | None
    came: str
    came_when: Told | None
    value: Value | None
    counted_in_total: bool
    heading: str
    why: str
    goes_with: str | None = None
    remarks: tuple[str, ...] = ()
    runs: tuple[Run, ...] = ()
    seals: tuple[Seal, ...] = ()
    seals_now: tuple[Seal, ...] = ()
    values: tuple[Value, ...] = ()
    evidence: tuple[Evidence, ...] = ()

    @property
    def has_picture(self) -> bool:
        """Whether a picture of it is on record."""
        return any(document.picture for document in self.evidence)


@dataclass(frozen=True)
class Gap:
    """Something that the list cannot say of an item."""

    item: int
    tag: str
    says: str


@dataclass(frozen=True)
class ConditionList:
    """What was on record of every part in the house on a day, as known on a day, on one basis of value.

    `totals` counts what is our own, loose or on a car that is not insured whole; `other_totals` the rest.
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
    holders: dict[str, str] = field(default_factory=dict, compare=False, repr=False)

    def as_dict(self) -> dict[str, Any]:
        """The whole list as it stands in JSON. Who "customer A" is stands in `holders` alone, which leaves no file."""
        content: dict[str, Any] = orjson.loads(orjson.dumps(self._content()))
        return {**content, "fingerprint": self.fingerprint}

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256, hexadecimal, of the list's JSON without it: keys sorted, no blanks, UTF-8."""
        written = orjson.dumps(self._content(), _plainly, orjson.OPT_PASSTHROUGH_DATACLASS | orjson.OPT_SORT_KEYS)
        return hashlib.sha256(written).hexdigest()

    @property
    def fingerprint_shown(self) -> str:
        """The first 32 signs of the fingerprint in 8 groups of 4, as it is read out and compared by eye."""
        return " ".join(self.fingerprint[start : start + 4] for start in range(0, 32, 4))

    def _content(self) -> dict[str, Any]:
        told = {each.name: getattr(self, each.name) for each in fields(self) if each.name != "holders"}
        return {**told, "reasons": [reason.as_dict() for reason in self.reasons]}


def _plainly(value: Any) -> dict[str, Any]:
    """What an item consists of, for whoever puts keys in order."""
    return dict(vars(value))
