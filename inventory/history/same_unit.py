"""Whether what came back is the unit that went out: what was read and seen on it before and after. Pure.

Only what we looked at ourselves counts on either side. What was looked at once only decides nothing, and is named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from inventory.facts.how_known import is_own
from inventory.facts.order import in_order
from inventory.store.words.text import squeeze

__all__ = ["DIFFERS", "EQUAL", "ONCE", "Compared", "compared", "verdict"]

EQUAL, DIFFERS, ONCE = "equal", "differs", "looked at once only"


@dataclass(frozen=True)
class Compared:
    """One thing looked at before it went and after it came back; `facts`: the ids of both looks."""

    what: str
    before: str
    after: str
    result: str
    facts: tuple[str, ...]

    @property
    def says(self) -> str:
        """It in one line."""
        if self.result == EQUAL:
            return f"{self.what}: {self.after}, as before"
        return f"{self.what}: before {self.before or 'not looked at'}, after {self.after or 'not looked at'}"

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return asdict(self)


_READ: tuple[tuple[str, str, Callable[[Any], str | None]], ...] = (
    ("serial", "marking", lambda values: values.get("serial")),
    ("part number", "marking", lambda values: values.get("part_number")),
    ("letter", "marking", lambda values: values.get("match_code")),
    ("date code", "marking", lambda values: values.get("date_code")),
    ("marks", "marking", lambda values: values.get("marks")),
    ("features", "object_description", lambda values: values.get("features")),
)
#: What work may change: it is shown beside, and says nothing of whether it is the same unit.
_LOOKS: tuple[tuple[str, str, Callable[[Any], str | None]], ...] = (
    ("condition", "assessment", lambda values: None if values["category"] is None else f"{values['category']} of 0-3"),
    ("damage", "assessment", lambda values: values.get("damage")),
    ("missing", "assessment", lambda values: values.get("missing")),
)


def compared(facts: Iterable[Any], out: Any, back: Any | None) -> tuple[Compared, ...]:
    """What was seen before `out` and after `back` (both views of facts; back None: it is still away)."""
    own = [fact for fact in in_order(facts) if is_own(fact)]
    before = [fact for fact in own if _order(fact) < _order(out)]
    after = [fact for fact in own if back is not None and _order(fact) > _order(back)]
    found = [_one(*each, before, after) for each in (*_READ, *_LOOKS)]
    seals = sorted({fact.values["seal"] for fact in (*before, *after) if fact.table == "seal_sighting"})
    found += [_one(f"seal {seal}", "seal_sighting", _state_of(seal), before, after) for seal in seals]
    pictures = [_one("pictures", "attachment", lambda values: values.get("document"), before, after)]
    return tuple(each for each in (*found, *_shown(pictures)) if each is not None)


def verdict(found: Sequence[Compared]) -> str:
    """Whether it is the same unit, in words."""
    marks = [each for each in found if each.what in {name for name, _, _ in _READ}]
    differ = [each.what for each in marks if each.result == DIFFERS]
    equal = [each.what for each in marks if each.result == EQUAL]
    if differ:
        return f"not the same by its {', '.join(differ)}: look again at both before you rely on it"
    if "serial" in equal or len(equal) >= 3:
        return f"the same by its {', '.join(equal)}"
    if equal:
        return f"nothing differs, but only its {', '.join(equal)} was looked at both times: others share that"
    return "cannot be told: no mark was looked at both before and after"


def _one(
    what: str, table: str, value: Callable[[Any], str | None], before: Sequence[Any], after: Sequence[Any]
) -> Compared | None:
    looks = [[fact for fact in some if fact.table == table and value(fact.values)] for some in (before, after)]
    if not any(looks):
        return None
    first, then = (some[-1] if some else None for some in looks)
    said = [str(value(fact.values)) if fact is not None else "" for fact in (first, then)]
    result = ONCE if "" in said else EQUAL if squeeze(said[0]) == squeeze(said[1]) else DIFFERS
    return Compared(what, said[0], said[1], result, tuple(fact.id for fact in (first, then) if fact is not None))


def _state_of(seal: str) -> Callable[[Any], str | None]:
    return lambda values: values["state"] if values["seal"] == seal else None


def _shown(pictures: Sequence[Compared | None]) -> list[Compared]:
    """Pictures are shown side by side; a program does not compare them."""
    return [Compared(each.what, each.before, each.after, ONCE, each.facts) for each in pictures if each is not None]


def _order(fact: Any) -> tuple[str, str]:
    return fact.counts_from, fact.ranked
