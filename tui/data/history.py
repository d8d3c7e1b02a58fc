"""The history of a part on its card: three lanes, what does not fit in them, and each time it was away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inventory.history.lanes import TITLES
from inventory.history.load_history import history_from
from inventory.history.words import event_line
from tui.data.entries import Entry, Step

if TYPE_CHECKING:
    from inventory.facts.views import FactView
    from inventory.parts.tables import Part

__all__ = ["history_entries"]


def history_entries(part: Part, standing: Sequence[FactView]) -> tuple[Entry, ...]:
    """One entry a lane that has events, one for each time away, one for all that is missing or does not fit."""
    history = history_from(part, standing)
    if not any(lane.events for lane in history.lanes):
        return ()
    lanes = tuple(
        Entry(TITLES[lane.name], f"now: {lane.now}", (Step(tuple(map(event_line, reversed(lane.events)))),))
        for lane in history.lanes
        if lane.events
    )
    away = tuple(
        Entry(
            "The same unit?", f"away {each.went.when}: {each.same}", (Step(tuple(one.says for one in each.compared)),)
        )
        for each in history.absences
    )
    unfit = tuple(f"{TITLES[each.lane].lower()}: {each.says}" for each in history.troubles)
    missing = (Entry("Not known", f"{unfit[0]}{_more(len(unfit) - 1)}", (Step(unfit),)),) if unfit else ()
    return (*lanes, *missing, *away)


def _more(count: int) -> str:
    return f"; {count} more" if count else ""
