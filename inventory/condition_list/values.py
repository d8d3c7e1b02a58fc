"""The values of a condition list: its items, and the list as a whole.

None means not known; the sheets write that in words, never as an empty cell.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import orjson

from inventory.facts.how_known import FROM_SHEETS
from inventory.parts.judgements import Identity
from inventory.reasons import Reason

__all__ = [
    "ConditionList",
    "ConditionSeen",
    "Evidence",
    "Gap",
    "Item",
    "Run",
    "Seal",
    "Seen",
    "Statement",
    "Unfitting",
    "Value",
    "Where",
]


@dataclass(frozen=True)
class Statement:
    """When something was true, who says so, how they know, and the id of the fact.

    `on` is EDTF, `told` the words of a vague date; `earliest` and `latest` are ISO 8601 days.
    """

    on: str
    told: str | None
    earliest: str
    latest: str
    by: str
    how_known: str
    fact: str

    @property
    def hearsay(self) -> str:
        """ ", as a sheet says" if only a sheet tells it."""
        return ", as a sheet says" if self.how_known in FROM_SHEETS else ""


@dataclass(frozen=True)
class Where:
    """Where a part is: `state` is loose, on a car, away or open; `premises` if it is loose; `says` is for people."""

    state: str
    says: str
    premises: str | None
    car: str | None


@dataclass(frozen=True)
class Seen:
    """When and how a part was last seen."""

    how: str
    when: Statement


@dataclass(frozen=True)
class ConditionSeen:
    """The condition of a part: class 0 to 3 (None: not assessed), damage, what is missing, whether it gets worse."""

    category: int | None
    damage: str | None
    missing: str | None
    trend: str | None
    when: Statement


@dataclass(frozen=True)
class Run:
    """One bench run, with what it proves; `stale`: work on the unit (`stale_by`) ended it, as `ended` says."""

    procedure: str
    verdict: str
    says: str
    when: Statement
    stale: bool
    stale_by: str | None
    ended: str

    @property
    def sentence(self) -> str:
        """What it proves, and what ended it."""
        says = f"{self.says}{self.when.hearsay}"
        return f"{says}; {self.ended}" if self.ended else says


@dataclass(frozen=True)
class Seal:
    """One look at one seal; `document`: there is a paper for it."""

    seal: str
    state: str
    document: bool
    when: Statement


@dataclass(frozen=True)
class Unfitting:
    """Two findings that do not fit: open while `settle` names what settles it, else settled by word only."""

    about: str
    says: str
    facts: tuple[str, ...]
    settle: tuple[str, ...]
    found: str


@dataclass(frozen=True)
class Value:
    """One stated value; `standing` says who stands behind it."""

    amount: str
    currency: str
    basis: str
    source: str | None
    capacity: str | None
    document: str | None
    standing: str
    stale: bool
    when: Statement


@dataclass(frozen=True)
class Evidence:
    """A picture or paper: its id, what it shows, and the first 16 digits of the SHA-256 of its bytes."""

    document: str
    shows: str
    picture: bool
    digest16: str
    when: Statement


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
    condition: ConditionSeen | None
    works: Run | None
    came: str
    came_when: Statement | None
    value: Value | None
    counted_in_total: bool
    heading: str
    why: str
    goes_with: str | None = None
    remarks: tuple[str, ...] = ()
    runs: tuple[Run, ...] = ()
    seals: tuple[Seal, ...] = ()
    seals_now: tuple[Seal, ...] = ()
    contradictions: tuple[Unfitting, ...] = ()
    values: tuple[Value, ...] = ()
    evidence: tuple[Evidence, ...] = ()

    @property
    def has_picture(self) -> bool:
        """Whether a picture of it is on record."""
        return any(document.picture for document in self.evidence)


@dataclass(frozen=True)
class Gap:
    """Something that is not known about an item."""

    item: int
    tag: str
    says: str


@dataclass(frozen=True)
class ConditionList:
    """Every part in the house on a day, as known on a day, valued on one basis.

    `totals` counts our own parts, loose or on a car that is not insured whole; `other_totals` counts the rest.
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
        """The JSON of the list. Who "customer A" is stands only in `holders`, which is never written to a file."""
        content: dict[str, Any] = orjson.loads(orjson.dumps(self._content()))
        return {**content, "fingerprint": self.fingerprint}

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
