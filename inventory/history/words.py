"""Histories in words, for the command line and the browser. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from inventory.history.lanes import TITLES, Event, Lane

if TYPE_CHECKING:
    from inventory.history.load_car import CarHistory
    from inventory.history.load_history import Absence, PartHistory

__all__ = ["absence_lines", "car_lines", "event_line", "history_lines", "lane_lines"]


def history_lines(history: PartHistory) -> Iterator[str]:
    """A part's history, line by line."""
    yield history.headline
    for lane in history.lanes:
        yield from lane_lines(lane)
    for absence in history.absences:
        yield from absence_lines(absence)
    if history.troubles or history.remarks:
        yield "What is missing or does not fit"
        for trouble in history.troubles:
            yield f"  {TITLES[trouble.lane].lower()}: {trouble.says}"
        for remark in history.remarks:
            yield f"  {remark}"


def lane_lines(lane: Lane) -> Iterator[str]:
    """One lane: its title with what is so now, then its events."""
    yield f"{TITLES[lane.name]} (now: {lane.now})"
    if not lane.events:
        yield "  nothing is on record"
    for event in lane.events:
        yield f"  {event_line(event)}"


def event_line(event: Event) -> str:
    """One event in one line: the day as told, what happened, who says so."""
    document = f"; document: {event.document}" if event.document else ""
    return f"{event.when:<12} {event.says}  ({event.known}{document})  {event.fact}"


def absence_lines(absence: Absence) -> Iterator[str]:
    """One time that a part was away: whether it is the same unit, and what was looked at on both sides."""
    until = f", {absence.back.what} {absence.back.when}" if absence.back else ""
    yield f"Away: {absence.went.says} {absence.went.when}{until}"
    if absence.back is None:
        return
    yield f"  Is it the same unit? {absence.same[0].upper()}{absence.same[1:]}"
    for each in absence.compared:
        yield f"  {each.says}"


def car_lines(history: CarHistory) -> Iterator[str]:
    """A car's history, line by line."""
    yield history.car
    if not history.entries:
        yield "  nothing is on record"
    for entry in history.entries:
        tag = f"{entry.tag}  " if entry.tag else ""
        mileage = f"  [{entry.mileage}]" if entry.mileage else ""
        known = f"  ({entry.known})" if entry.known else ""
        yield f"  {entry.told or entry.on:<12} {entry.sort:<9} {tag}{entry.says}{mileage}{known}"
    for gap in history.gaps:
        yield f"  {gap}"
