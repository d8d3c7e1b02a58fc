"""Do the moments of entries grow along the log? Where they fall, one of two clocks was wrong, and nobody has said so.

A remark and no problem: nothing was changed. An act has its moment when it begins and its place when it is written, so
places of acts at the same time may lie the other way round by as long as the longest of them took.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from inventory.store.days import clock
from inventory.store.days.moments import STEP, read_moment, shown_in
from inventory.store.verify.problems import Remark

__all__ = ["Times"]

#: By how much moments may fall: the longest act, a large sheet, takes minutes.
LONGEST_ACT = timedelta(minutes=5)
#: How many falls are told one by one; the rest in one line.
_TOLD = 3
_HOW = "matchmark clock wrong --entries {} --reason WHY"


@dataclass
class _Fall:
    """Places whose moments lie behind those of the places `ahead` (first, last), and by how much at most."""

    ahead: tuple[int, int]
    high: str
    first: int
    last: int
    entries: int = 0
    most: timedelta = timedelta()


@dataclass
class Times:
    """The moments of the entries in the order of the log, as they are read.

    `wrong`: moments stated to be of a wrong clock, which are passed over. `made`: when the record was made.
    """

    wrong: set[str]
    made: datetime | None
    zone: str | None
    _highs: list[str] = field(default_factory=list)
    _places: list[int] = field(default_factory=list)
    _falls: list[_Fall] = field(default_factory=list)
    _early: list[int] = field(default_factory=list)

    def see(self, place: int, at: Any) -> None:
        """Look at the moment of the next entry. What is no moment is passed over: the chains name it.

        So is what follows its thing's entry of a wrong clock by the one microsecond that keeps their order.
        """
        if at in self.wrong or (self._highs and at == self._highs[-1]):
            return
        moment = read_moment(at)
        if moment is None or clock.stamp(moment) != at:
            return
        if self.wrong and clock.stamp(moment - STEP) in self.wrong:
            self.wrong.add(at)
            return
        if self.made is not None and self.made - moment > LONGEST_ACT:
            self._early.append(place)
        elif not self._highs or at > self._highs[-1]:
            self._highs.append(at)
            self._places.append(place)
        else:
            self._see_fall(place, moment)

    def _see_fall(self, place: int, moment: datetime) -> None:
        high = read_moment(self._highs[-1])
        if high is None or high - moment <= LONGEST_ACT:
            return
        if not self._falls or self._falls[-1].high != self._highs[-1]:
            first = self._places[bisect_right(self._highs, clock.stamp(moment + LONGEST_ACT))]
            first = max(first, self._falls[-1].last + 1 if self._falls else 1)
            self._falls.append(_Fall((first, place - 1), self._highs[-1], place, place))
        fall = self._falls[-1]
        fall.last, fall.entries, fall.most = place, fall.entries + 1, max(fall.most, high - moment)

    def remarks(self) -> Iterator[Remark]:
        """What is to be said of them, at most a few lines."""
        for fall in self._falls[:_TOLD]:
            yield Remark(self._says(fall), fall.ahead[0], fall.last)
        if rest := self._falls[_TOLD:]:
            most = max(fall.most for fall in rest)
            says = (
                f"At {len(rest)} more places of the log, up to entry {rest[-1].last}, times fall by up to "
                f"{_long(most)}: the clocks of those who write differ"
            )
            yield Remark(says, rest[0].ahead[0], rest[-1].last)
        if self._early and self.made is not None:
            first, last = self._early[0], self._early[-1]
            says = (
                f"{_entries(first, last, len(self._early))} times before the record was made "
                f"({shown_in(self.made, self.zone)}): their clock was wrong. "
                f"To say so: {_HOW.format(_span(first, last))}"
            )
            yield Remark(says, first, last)

    def _says(self, fall: _Fall) -> str:
        ahead, behind = _span(*fall.ahead), _span(fall.first, fall.last)
        high = read_moment(fall.high)
        return (
            f"{_entries(fall.first, fall.last, fall.entries)} times up to {_long(fall.most)} before that of entry "
            f"{fall.ahead[1]} ({'' if high is None else shown_in(high, self.zone)}), though written later: one of two "
            f"clocks was wrong. To say which: {_HOW.format(ahead)}, or --entries {behind}"
        )


def _entries(first: int, last: int, many: int) -> str:
    if many == 1:
        return f"Entry {first} of the log bears"
    among = "" if many == last - first + 1 else f"{many} of "
    return f"{among}{'e' if among else 'E'}ntries {first} to {last} of the log bear"


def _span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}-{last}"


def _long(time: timedelta) -> str:
    """A length of time for people: 10 minutes, 3 hours, 2 days."""
    minutes = round(time.total_seconds() / 60)
    for many, word in ((minutes // 1440, "day"), (minutes // 60, "hour"), (minutes, "minute")):
        if many > 1 or word == "minute":
            return f"{many} {word}{'' if many == 1 else 's'}"
    raise AssertionError(time)
