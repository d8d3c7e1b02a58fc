"""The faults found here, and how they move the shares of the failure modes on file. Pure.

What comes to a workshop is no sample, so own counts never move the share of good parts. A fault is found by opening the
unit, or by tests of our own that failed; each part counts once, and never for itself. Tests that show only some of the
faults say nothing of the others: a finding moves shares only among the faults that could have been found that way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.evidence.weights import WeighedTest, false_alarm
from inventory.reference.modes import FailureData, FailureMode, KindModes, words_of

__all__ = ["Finding", "OwnCounts", "OwnShares", "fault_named", "finding_of"]


@dataclass(frozen=True)
class Finding:
    """The fault of one part: the chance of each mode, summing to 1; `visible`: the modes that could have been found."""

    by: Literal["opening", "test"]
    chances: Mapping[str, float]
    visible: frozenset[str]

    def completed(self, modes: Sequence[FailureMode]) -> dict[str, float]:
        """The chances with those of the modes that could not have been found as on file; they sum to 1."""
        within = sum(mode.share for mode in modes if mode.name in self.visible)
        return {
            mode.name: within * self.chances.get(mode.name, 0.0) if mode.name in self.visible else mode.share
            for mode in modes
        }


@dataclass(frozen=True)
class OwnShares:
    """The shares of the modes that are used, those on file, and how many of each were found here (by name).

    `by_opening` and `by_test` say how many parts were found which way. `shares` are those on file until enough were.
    """

    shares: Mapping[str, float]
    on_file: Mapping[str, float]
    found: Mapping[str, float]
    by_opening: int
    by_test: int
    enough: bool

    @property
    def count(self) -> int:
        """How many parts they are."""
        return self.by_opening + self.by_test


class OwnCounts:
    """The findings on the parts of one kind, or of one sort of it, by the key of the part."""

    def __init__(self, kind_modes: KindModes, findings: Mapping[int, Finding], data: FailureData) -> None:
        self._modes, self._findings, self._data = kind_modes.modes, findings, data
        self._completed = {key: finding.completed(self._modes) for key, finding in findings.items()}
        names = [mode.name for mode in self._modes]
        self._moves = {name: sum(one[name] for one in self._completed.values()) for name in names}
        self._found = {name: sum(one.chances.get(name, 0.0) for one in findings.values()) for name in names}
        self._by_opening = sum(one.by == "opening" for one in findings.values())

    def shares(self, without: int | None = None) -> OwnShares:
        """The shares on file, as a Dirichlet prior that weighs as much as some findings, moved by those made here.

        `without`: the part that is judged, whose own fault never counts.
        """
        weight, least = self._data.figures["shares on file"].value, self._data.figures["own counts from"].value
        own = self._findings.get(without) if without is not None else None
        completed = self._completed[without] if own is not None and without is not None else {}
        count = len(self._findings) - (own is not None)
        by_opening = self._by_opening - (own is not None and own.by == "opening")
        on_file = {mode.name: mode.share for mode in self._modes}
        found = {name: many - (own.chances.get(name, 0.0) if own else 0.0) for name, many in self._found.items()}
        enough = 0 < count >= least
        shares = on_file
        if enough:
            shares = {
                name: (weight * share + self._moves[name] - completed.get(name, 0.0)) / (weight + count)
                for name, share in on_file.items()
            }
        return OwnShares(shares, on_file, found, by_opening, count - by_opening, enough)


def finding_of(
    weighed: Sequence[WeighedTest], opened: Sequence[str], kind_modes: KindModes, data: FailureData
) -> Finding | None:
    """The fault that was found on one part; None if none was. `opened`: the words of work on the unit, oldest first."""
    own = [one for one in weighed if one.test.decided and not one.test.claim and _on_bench(one, data)]
    shown = {mode.name for mode in kind_modes.modes if any(one.test.what in mode.shows for one in own)}
    named = [name for words in opened if (name := fault_named(words, kind_modes, data))]
    if named:
        visible = shown | {named[-1]} if own else {mode.name for mode in kind_modes.modes}
        return Finding("opening", {named[-1]: 1.0}, frozenset(visible))
    fails = [one for one in own if one.failed and (one.weight > 0.0 or one.stale_by is not None)]
    visible = {mode.name for mode in kind_modes.modes if any(one.test.what in mode.shows for one in fails)} & shown
    if not visible:
        return None
    passes = [one for one in own if not one.failed and one.weight > 0.0]
    chances = {
        mode.name: mode.share * _likelihood(mode, fails, passes, data)
        for mode in kind_modes.modes
        if mode.name in shown
    }
    whole = sum(chances.values())
    return Finding("test", {name: chance / whole for name, chance in chances.items()}, frozenset(shown))


def fault_named(text: str, kind_modes: KindModes, data: FailureData) -> str:
    """The failure mode that words about opened work name; empty if they name none, several, or deny it."""
    words = f" {words_of(text)} "
    if (data.claim_doubt | data.claim_denied | data.claim_denied_fault).intersection(words.split()):
        return ""
    found = [mode.name for mode in kind_modes.modes if any(f" {phrase} " in words for phrase in mode.found)]
    return found[0] if len(found) == 1 else ""


def _on_bench(one: WeighedTest, data: FailureData) -> bool:
    on_file = data.tests.get(one.test.what)
    return on_file is not None and bool(on_file.minutes)


def _likelihood(
    mode: FailureMode, fails: Sequence[WeighedTest], passes: Sequence[WeighedTest], data: FailureData
) -> float:
    """P(these outcomes | mode); a test that does not show the mode comes out as on a good part."""
    chance = 1.0
    for one in fails:
        chance *= mode.shows.get(one.test.what, false_alarm(one.test, data))
    for one in passes:
        chance *= 1.0 - mode.shows.get(one.test.what, false_alarm(one.test, data))
    return chance
