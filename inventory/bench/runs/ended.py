"""What was done to a unit after a run, so that the run no longer counts, or not in full. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from inventory.bench.verdicts import Verdict
from inventory.facts.order import may_follow

__all__ = ["Ended", "OnTheUnit", "ended_by", "no_longer", "verdict_in_words"]


@dataclass(frozen=True)
class OnTheUnit:
    """Work on the unit itself: its fact's id, what was done, the day as written, its bounds, when it was recorded."""

    id: str
    what: str
    on: str
    earliest: str
    latest: str
    ranked: str


@dataclass(frozen=True)
class Ended:
    """The work after which a run no longer counts: its fact, what was done, and the day as written."""

    fact: str
    what: str
    on: str


def ended_by(run: Any, work: Iterable[OnTheUnit]) -> Ended | None:
    """The first work, oldest first, that was or may have been done after the run."""
    found = next((each for each in work if may_follow(each, run)), None)
    return Ended(found.id, found.what, found.on) if found else None


def verdict_in_words(verdict: Verdict, ended: Ended | None, day: Callable[[str], str] = str) -> str:
    """The verdict in capitals, and what ended it: `PASS, no longer counts: heated since, 2026-03-04`.

    `day` puts a day into the words of the door.
    """
    return f"{verdict.upper()}, {no_longer(verdict, ended, day)}" if ended else verdict.upper()


def no_longer(verdict: Verdict, ended: Ended, day: Callable[[str], str] = str) -> str:
    """What ended a run, after its verdict. Work alone does not undo a fail: it no longer counts in full."""
    full = " in full" if verdict == "fail" else ""
    return f"no longer counts{full}: {ended.what} since, {day(ended.on)}"
