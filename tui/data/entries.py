"""The form in which every section of a card comes: numbered entries that unfold step by step."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.facts.views import FactView
from inventory.reasons import Reason
from tui.words import short_day

__all__ = ["CardData", "Curve", "Entry", "Line", "Section", "Step", "reason_lines", "told_by"]


@dataclass(frozen=True)
class Line:
    """A further line of a drawing: its name, the sign of its points, and the points."""

    name: str
    sign: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Curve:
    """A measured curve: (place, value) points, values in the unit named, places in the unit `across`.

    `limit`: at this place the value must not be lower. `band`: between which values it stands there, as surely as the
    readings tell (95 %). `name` is what the points
    are; `others` are drawn beside them.
    """

    points: tuple[tuple[float, float], ...]
    unit: str
    limit: tuple[float, float] | None = None
    band: tuple[float, float] | None = None
    across: str = "s"
    name: str = "read"
    others: tuple[Line, ...] = ()


@dataclass(frozen=True)
class Step:
    """One step nearer to the evidence: lines of text, a curve under them where there is one."""

    lines: tuple[str, ...]
    curve: Curve | None = None


@dataclass(frozen=True)
class Entry:
    """A line of a section: what it is about, what is said, and the steps to what it rests on."""

    name: str
    says: str
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True)
class Section:
    """One section of the card; `empty` is what is said, and what to do, where it has no entry."""

    name: str
    entries: tuple[Entry, ...]
    empty: str = ""
    counted: bool = False

    @property
    def title(self) -> str:
        """The name, with the number of entries where that says something."""
        return f"{self.name} {len(self.entries)}" if self.counted and self.entries else self.name


@dataclass(frozen=True)
class CardData:
    """A part's card. `head`: what it is; `held`: for whom, where it lies; `care`: the worst care line of its kind."""

    tag: str
    head: str
    held: str
    sections: tuple[Section, ...]
    care: str = ""
    care_in_full: tuple[str, ...] = ()


def reason_lines(reason: Reason) -> tuple[str, ...]:
    """A reason in words: what is said, then the rule with its standing and source."""
    rule = f"  Rule: {reason.rule}. {_standing(reason)}" if reason.rule else ""
    return tuple(line for line in (reason.says, rule) if line)


def _standing(reason: Reason) -> str:
    standing = reason.standing[:1].upper() + reason.standing[1:]
    return f"{standing}, {reason.source}" if reason.source else standing


def told_by(fact: FactView) -> str:
    """When it was so, who wrote it down, how it is known."""
    known = "" if fact.how_known == "seen" else f", {fact.how_known}"
    return f"{short_day(fact.on)}, {fact.by}{known}"
