"""The values of a condition list besides its items: front, premises, options, evidence index, gaps, what changed.

None means not known; texts and tables write that in words, never as an empty cell. Days are ISO 8601 or EDTF.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from inventory.valuation.rates import Converted, RateUsed

__all__ = [
    "NOT_READ",
    "Change",
    "Changes",
    "Converted",
    "EvidenceEntry",
    "Front",
    "Gap",
    "LargestLoss",
    "Later",
    "Options",
    "Premises",
    "RateUsed",
    "top_gaps",
]

#: How many gaps are shown first.
_FIRST = 10


@dataclass(frozen=True)
class Front:
    """Who stands behind a list: owner, who prepared it and in what capacity, the policy.

    `replaces`: the number of the list that this one replaces.
    """

    owner: str | None = None
    preparer: str | None = None
    capacity: str | None = None
    insurer: str | None = None
    policy: str | None = None
    until: str | None = None
    checked_by: str | None = None
    replaces: int | None = None


@dataclass(frozen=True)
class Premises:
    """The items at one place of insurance, and the sums of those that count, by currency."""

    name: str
    town: str | None = None
    security: str | None = None
    items: int = 0
    totals: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class LargestLoss:
    """The largest sum at one place of insurance, in one currency."""

    premises: str
    amount: str
    currency: str


@dataclass(frozen=True)
class Options:
    """For whom a list is drawn, how names in texts are treated, on which basis, in which currency the total is given.

    `audience`: insurer, owner. `names`: as written, keep, cut. `kept`: digests of the texts that stay all the same.
    """

    audience: str = "owner"
    names: str = "as written"
    basis: str = "market"
    currency: str | None = None
    kept: tuple[str, ...] = ()


@dataclass(frozen=True)
class Later:
    """What was recorded, corrected or taken back after the day of the list; `item`: its number, if it is listed."""

    item: int | None
    tag: str
    happened: str
    says: str
    so_on: str
    recorded_on: str


@dataclass(frozen=True)
class Change:
    """One field of an item that differs from an earlier list."""

    tag: str
    what: str
    was: str
    now: str


@dataclass(frozen=True)
class Changes:
    """What came, went and changed since list number `since`; `came` and `went` are tags.

    `note`: how that list was drawn again, if not as it was.
    """

    since: int
    came: tuple[str, ...] = ()
    went: tuple[str, ...] = ()
    changed: tuple[Change, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class EvidenceEntry:
    """One picture or paper of the evidence index, numbered from 1 over the whole list.

    `id` is the document's; `kind`: what it shows; `on`, `by`: when it was attached as so, and by whom; `extent`: its
    pages or size; `digest16`: the first 16 digits of the SHA-256 of its bytes; `items`: numbers of its items.
    """

    number: int
    id: str
    kind: str
    picture: bool
    on: str
    by: str
    extent: str
    digest16: str
    items: tuple[int, ...]


#: The sort of the gaps that are cells of sheets which could not be read.
NOT_READ = "not read"


@dataclass(frozen=True)
class Gap:
    """Something that is not known about an item.

    `sort` names the gaps of one kind; `rank`: 1 matters most; `why` it matters.
    """

    item: int
    tag: str
    says: str
    sort: str = ""
    rank: int = 99
    why: str = ""


def top_gaps(gaps: Iterable[Gap]) -> tuple[Gap, ...]:
    """The ten gaps that matter first, one for an item; what else of the same rank the item lacks is said with it.

    `gaps`: first those that matter most.
    """
    of_items: dict[int, list[Gap]] = {}
    for gap in gaps:
        its = of_items.get(gap.item)
        if its is None and len(of_items) < _FIRST:
            of_items[gap.item] = [gap]
        elif its is not None and its[0].rank == gap.rank:
            its.append(gap)
    return tuple(replace(its[0], says="; ".join(gap.says for gap in its)) for its in of_items.values())
