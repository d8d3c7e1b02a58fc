"""Judges opening times of a control unit: each setting beside a trusted unit's under the same conditions. Pure.

Between two inductances of the reference the opening time is interpolated; a setting known by its name only is compared
with the same name.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from inventory.bench.conditions import condition
from inventory.bench.methods.sweep.compared_words import (
    doubtful_words,
    meter_reason,
    open_reason,
    ratio_words,
    reference_reason,
    share_words,
)
from inventory.bench.methods.sweep.curve import Meter, Point, Value, Way
from inventory.bench.methods.sweep.ratios import Ratio, Zone, relative_difference, zone_of
from inventory.bench.methods.sweep.reference import Reference
from inventory.bench.verdicts import GUARD, RunJudgement, Verdict
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason
from inventory.store.words.text import fold

__all__ = ["Pulse", "PulseInput", "PulseRules", "Setting", "judge_pulse", "set_alike"]

_NO_SOURCE = "no source"
_LIKE, _DIFFERS = "like the reference", "differs from the reference"
_CAUSES = "possible causes: a dried-out capacitor, an aged or failed stage, a bad joint, or a disturbed setting"


@dataclass(frozen=True)
class Setting:
    """One thing set on the simulator, as noted; its dimension and SI value, empty and 0 for a word."""

    shown: str
    dimension: str = ""
    si: float = 0.0


@dataclass(frozen=True)
class Pulse:
    """Opening times in s: a curve over inductance in H, and by the names of settings without a known inductance.

    `spread` is the relative standard deviation of one reading from the repeats, with its degrees of freedom; None
    without repeats. A setting that was not noted is None.
    """

    way: Way
    named: Mapping[str, Point]
    meter: Meter
    settings: Mapping[str, Setting | None]
    spread: float | None
    freedom: int

    @property
    def points(self) -> tuple[Point, ...]:
        """Every setting that was read."""
        return (*self.way.points, *self.named.values())

    def at(self, point: Point) -> Value | None:
        """The opening time at the setting of a point, its own or another unit's; None if there is none."""
        if point.place:
            return self.way.value(point.place, self.meter)
        same = self.named.get(fold(point.shown))
        return None if same is None else Way((same,)).value(same.place, self.meter)


@dataclass(frozen=True)
class PulseInput:
    """Opening times, and the reference if one was named."""

    pulse: Pulse
    reference: Reference[Pulse] | None = None


@dataclass(frozen=True)
class PulseRules:
    """The rules: `difference` as a share, at least `points` settings; `read_once` is the relative standard uncertainty
    of a reading without repeats. `apart`: how far what was set may differ, absolutely in SI and as a share."""

    difference: float
    points: int
    read_once: float
    apart: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class _Row:
    """One setting: the opening time, the reference's, and their relative difference, None if there is none."""

    point: Point
    mine: Value
    reference: Value | None
    ratio: Ratio | None


def judge_pulse(given: PulseInput, rules: PulseRules) -> RunJudgement:
    """Compare the opening times with the reference's; without one they are only noted."""
    hindrance = _hindrance(given, rules)
    other = given.reference.curve if given.reference and not hindrance else None
    same = other is not None and other.meter.same_as(given.pulse.meter)
    rows = list(_rows(given.pulse, other, same=same))
    zone = zone_of([row.ratio for row in rows if row.ratio is not None], rules.difference)
    doubted = given.reference is not None and bool(given.reference.doubts)
    comparison = {"within": _LIKE, "beyond": _DIFFERS}.get(zone.state) if not doubted else None
    verdict: Verdict = "not judged" if hindrance else "undecided"
    if comparison is not None:
        verdict = "pass" if comparison == _LIKE else "fail"
    says = _says(given, rules, zone, verdict, hindrance)
    reasons = _reasons(given, rules, zone, says, rows, same=same)
    return RunJudgement(verdict, says, _figures(given, rules, zone, comparison, rows), tuple(reasons))


def _hindrance(given: PulseInput, rules: PulseRules) -> str:
    """Why these opening times cannot be compared; empty if they can."""
    pulse, reference = given.pulse, given.reference
    if (count := len(pulse.points)) < rules.points:
        return f"{count} setting{' is' if count == 1 else 's are'} too few; take {rules.points} or more"
    if reference is None:
        return "no reference was named (--reference)"
    if reference.hindrance or reference.curve is None:
        return reference.hindrance
    its = reference.curve.settings
    for whose, settings in (("this unit", pulse.settings), (reference.name, its)):
        for name in (name for name, at in settings.items() if at is None):
            asked = condition(name)
            option = f" ({asked.option})" if asked is not None else ""
            return f"{name} was not noted for {whose}: run it again and note it{option}"
    for name, mine in pulse.settings.items():
        if mine is not None and (other := its[name]) is not None and not set_alike(mine, other, rules.apart):
            return f"{name} was {mine.shown} for this unit, {other.shown} for {reference.name}"
    shared = sum(reference.curve.at(point) is not None for point in pulse.points)
    if shared < rules.points:
        return f"{reference.name} was measured at {shared} of these settings; {rules.points} or more are needed"
    return ""


def set_alike(mine: Setting | None, its: Setting | None, apart: Mapping[str, tuple[float, float]]) -> bool:
    """Whether the same was set for both; `apart` by dimension, as in `PulseRules`."""
    if mine is None or its is None:
        return mine is its
    if mine.dimension != its.dimension:
        return False
    if not mine.dimension:
        return fold(mine.shown) == fold(its.shown)
    absolute, share = apart[mine.dimension]
    return math.isclose(mine.si, its.si, rel_tol=max(share, 1e-9), abs_tol=absolute)


def _rows(pulse: Pulse, other: Pulse | None, *, same: bool) -> Iterator[_Row]:
    u_scale = 0.0 if other is None or same else math.hypot(pulse.meter.u_share, other.meter.u_share)
    for point in pulse.points:
        mine = pulse.at(point)
        assert mine is not None
        its = None if other is None else other.at(point)
        ratio = None if its is None else Ratio(point.shown, point.place, *relative_difference(mine, its, u_scale))
        yield _Row(point, mine, its, ratio)


def _says(given: PulseInput, rules: PulseRules, zone: Zone, verdict: Verdict, hindrance: str) -> str:
    """The finding in one sentence, with its uncertainty."""
    if hindrance or given.reference is None:
        return f"not judged: {hindrance}"
    told = f"opening time {ratio_words(zone, rules.difference)}"
    if given.reference.doubts:
        return f"undecided; {doubtful_words(given.reference)}: {told}"
    if verdict == "undecided":
        return f"undecided, compared with {given.reference.name}: {told}"
    return f"{_LIKE if verdict == 'pass' else _DIFFERS} {given.reference.name}: {told}"


def _reasons(
    given: PulseInput, rules: PulseRules, zone: Zone, says: str, rows: list[_Row], *, same: bool
) -> Iterator[Reason]:
    """What the finding rests on, the finding itself first."""
    rule = (
        f"a difference of {share_words(rules.difference)} from the reference counts, if it is {GUARD} standard "
        "uncertainties clear of that, more with few repeats"
    )
    yield Reason(says, rule, _NO_SOURCE, WORKSHOP)
    if zone.state == "beyond":
        yield Reason(_CAUSES, "opening times cannot show which; a specialist can", _NO_SOURCE, WORKSHOP)
    if zone.state == "undecided":
        yield open_reason("opening time", zone, "repeats")
    if given.reference is not None:
        yield reference_reason(given.reference)
    yield _repeats(given.pulse, rules)
    if zone.worst is None:
        rule = "no table of opening times is published; only a good unit shows what is right"
        yield Reason(
            "needed: a trusted unit of the same number, under the same settings, with the same meter", rule, _NO_SOURCE
        )
        return
    yield meter_reason(given.pulse.meter, same=same)
    beyond = [row.point.shown for row in rows if row.ratio is None]
    if beyond:
        says = f"not compared, the reference has no value there: {', '.join(beyond)}"
        yield Reason(says, "there is no value beyond the ends of a curve", _NO_SOURCE, WORKSHOP)


def _repeats(pulse: Pulse, rules: PulseRules) -> Reason:
    """How sure one reading is, and from what."""
    if pulse.spread is None:
        says = f"nothing was read twice: each opening time counts as uncertain by {share_words(rules.read_once)}"
        return Reason(says, "repeats show how sure a reading is", _NO_SOURCE, WORKSHOP)
    says = f"repeats differ by {100 * pulse.spread:.2g} % (standard deviation, {pulse.freedom} degrees of freedom)"
    rule = "the mean of n readings is uncertain by the standard deviation over root n, with Student's t"
    return Reason(says, rule, "JCGM 100:2008, 4.2.3, 4.2.4 and G.3 (from memory)", FROM_MEMORY)


def _figures(
    given: PulseInput, rules: PulseRules, zone: Zone, comparison: str | None, rows: list[_Row]
) -> dict[str, object]:
    """Relative differences as shares (0.03 is 3 %), expanded uncertainties at k = 2; None if there is no value."""
    worst = zone.worst
    return {
        "comparison": comparison,
        "difference": worst.value if worst else None,
        "difference_expanded_uncertainty": 2.0 * worst.u if worst else None,
        "difference_at": worst.shown if worst else None,
        "difference_limit": rules.difference,
        "settings": {name: None if at is None else vars(at) for name, at in given.pulse.settings.items()},
        "repeats_spread": given.pulse.spread,
        "reference": given.reference.name if given.reference else None,
        "rows": [
            {
                "setting": row.point.shown,
                "inductance_h": row.point.place or None,
                "opening_s": row.mine.value,
                "reference_s": row.reference.value if row.reference else None,
                "apart_s": row.mine.value - row.reference.value if row.reference else None,
                "difference": row.ratio.value if row.ratio else None,
                "difference_expanded_uncertainty": 2.0 * row.ratio.u if row.ratio else None,
            }
            for row in rows
        ],
    }
