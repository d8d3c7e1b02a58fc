"""The form of a card's sections: numbered entries that unfold step by step."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.facts.how_known import TOLD
from inventory.facts.views import FactView
from inventory.reasons import Reason
from tui.words import short_day

__all__ = ["CardData", "Curve", "Entry", "Line", "Section", "Step", "reason_lines", "source_words"]


@dataclass(frozen=True)
class Line:
    """A further line of a drawing: its name, the sign of its points, and the points."""

    name: str
    sign: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Curve:
    """A measured curve: (place, value) points, values in the unit named, places in the unit `across`.

    `limit`: the place and the lowest value allowed there. `band`: the 95 % interval of the value there. `name`: what
    the points are. `others`: further lines in the drawing.
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
    """One step of the reasons: lines of text, and a curve if there is one."""

    lines: tuple[str, ...]
    curve: Curve | None = None


@dataclass(frozen=True)
class Entry:
    """A line of a section: its name, its sentence, the steps of its reasons, and the view that Enter opens for it."""

    name: str
    says: str
    steps: tuple[Step, ...] = ()
    opens: str = ""


@dataclass(frozen=True)
class Section:
    """One section of the card. `empty`: the sentence shown if it has no entries."""

    name: str
    entries: tuple[Entry, ...]
    empty: str = ""
    counted: bool = False

    @property
    def title(self) -> str:
        """The name, with the number of entries if they are counted."""
        return f"{self.name} {len(self.entries)}" if self.counted and self.entries else self.name


@dataclass(frozen=True)
class CardData:
    """A part's card. `head`: what it is; `held`: whose it is, where it is; `care`: the worst caution of its kind."""

    tag: str
    head: str
    held: str
    sections: tuple[Section, ...]
    care: str = ""
    cautions_in_full: tuple[str, ...] = ()


def reason_lines(reason: Reason) -> tuple[str, ...]:
    """A reason in lines: the sentence, then the rule with its standing and source."""
    rule = f"  Rule: {reason.rule}. {_standing(reason)}" if reason.rule else ""
    return tuple(line for line in (reason.says, rule) if line)


def _standing(reason: Reason) -> str:
    standing = reason.standing[:1].upper() + reason.standing[1:]
    return f"{standing}, {reason.source}" if reason.source else standing


def source_words(fact: FactView) -> str:
    """When a fact was so, who recorded it, how it is known."""
    if fact.how_known in TOLD:
        return f"{short_day(fact.on)}, {fact.known}; read in by {fact.by}"
    return ", ".join(filter(None, (short_day(fact.on), fact.by, fact.known)))
