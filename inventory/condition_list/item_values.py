"""The values of one item of a condition list.

None means not known; texts and tables write that in words, never as an empty cell.
"""

from __future__ import annotations

from dataclasses import dataclass

from inventory.facts.how_known import told_by
from inventory.parts.judgements import Identity

__all__ = [
    "ConditionSeen",
    "Description",
    "Evidence",
    "Item",
    "Mark",
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
class Statement:
    """When something was true, who says so, how they know, and the id of the fact.

    `on` is EDTF, `told` the words of a vague date; `earliest`, `latest` and `recorded_on` are ISO 8601 days.
    """

    on: str
    told: str | None
    earliest: str
    latest: str
    by: str
    how_known: str
    fact: str
    recorded_on: str = ""

    @property
    def hearsay(self) -> str:
        """ ", as a sheet says" if only a sheet or passport tells it."""
        return f", {told}" if (told := told_by(self.how_known)) else ""


@dataclass(frozen=True)
class Where:
    """Where a part is: `state` is loose, on a car, away or open; `says` is for people.

    `premises` and `town` of the place it is stored at, or of its car's place; `place`: the shelf, for the owner only.
    """

    state: str
    says: str
    premises: str | None
    car: str | None
    town: str | None = None
    place: str | None = None


@dataclass(frozen=True)
class Seen:
    """When and how a part was last seen; `manner`: in the hand, picture, test, written in a sheet, count."""

    how: str
    when: Statement
    manner: str = "in the hand"


@dataclass(frozen=True)
class ConditionSeen:
    """The condition of a part: class 0 to 3 (None: not assessed), damage, what is missing, whether it gets worse.

    `why` it was looked at, in what `light`, `opened` or closed, what could not be seen; `trade_class` as stated.
    """

    category: int | None
    damage: str | None
    missing: str | None
    trend: str | None
    when: Statement
    why: str | None = None
    light: str | None = None
    opened: str | None = None
    unseen: str | None = None
    trade_class: str | None = None


@dataclass(frozen=True)
class Mark:
    """One number or mark, verbatim; `what` it is (serial, date code, ...), where it `sits`, who only tells it.

    `told`: "as a sheet says", if only a sheet or passport does; nobody here read it from the part.
    """

    what: str
    text: str
    sits: str | None = None
    told: str | None = None


@dataclass(frozen=True)
class Description:
    """What a part can be known by, after Object ID; each text is the last that was said of it."""

    measurements: str | None
    material: str | None
    features: str | None
    marks_sit: str | None
    when: Statement


@dataclass(frozen=True)
class Relation:
    """How a part belongs to a car, as stated; `against`: what on record speaks against it."""

    relation: str
    car: str | None
    says: str | None
    when: Statement
    against: str | None = None


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
    """One stated value; `standing` says who stands behind it.

    `tax`: with, without or None (not stated); `with_tag`: the other half of a pair that is valued as one.
    """

    amount: str
    currency: str
    basis: str
    source: str | None
    capacity: str | None
    document: str | None
    standing: str
    stale: bool
    when: Statement
    tax: str | None = None
    with_tag: str | None = None


@dataclass(frozen=True)
class Evidence:
    """A picture or paper: its id, what it shows, the first 16 digits of the SHA-256 of its bytes, their number."""

    document: str
    shows: str
    picture: bool
    digest16: str
    when: Statement
    media_type: str = ""
    size: int = 0


@dataclass(frozen=True, kw_only=True)
class Item(Identity):
    """One part on the list.

    `heading`: counted, on cars insured whole, held for others, away, whereabouts open, whose not known, proposed,
    valued with its mate. `trade_class`, `complete`, `stable`, `history` are for people. `value_alone`: what this half
    of a pair that is valued as one is worth alone. `evidence_numbers` are those of the list's evidence index.
    `not_shown_here`: nothing says that it was here by the day; it is an item all the same, and counts.
    `not_here`: that the last count did not find it, and nobody has seen it since; "" otherwise.
    `does_not_apply`: what cannot be asked of its kind: match code, seals, goes with.
    """

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
    evidence_numbers: tuple[int, ...] = ()
    description: Description | None = None
    marks_verbatim: tuple[Mark, ...] = ()
    relation: Relation | None = None
    trade_class: str = "not known"
    complete: str = "not known"
    stable: str = "not known"
    history: str = ""
    value_alone: Value | None = None
    not_shown_here: bool = False
    not_here: str = ""
    does_not_apply: tuple[str, ...] = ()

    @property
    def has_picture(self) -> bool:
        """Whether a picture of it is on record."""
        return any(document.picture for document in self.evidence)
