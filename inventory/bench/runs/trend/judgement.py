"""Which runs of a part can be compared over the years, and their trend in words.

Pure. Runs are compared only if they have the same procedure and reading, the same instrument or rig, and a temperature
known in the same way.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median

from inventory.bench.runs.trend.statistics import FEWEST, mann_kendall, theil_sen
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason

__all__ = ["LeftOut", "SeriesTrend", "TrendRun", "trend_of", "values_of"]

_YEAR_DAYS = 365.25
_VAGUE = timedelta(days=31)
_RISK = 0.05
_SOURCE = "Mann 1945, Kendall, Sen 1968, Gilbert 1987 (from memory)"
_SAME = ("at", "instrument", "meter", "rig", "gauge at", "frequency", "reference", "rig volume", "volume")


@dataclass(frozen=True)
class TrendRun:
    """One run for a trend: its fact's id, the days on which it may have been made, its conditions and figures.

    `doubtful`: its instrument cannot be trusted.
    """

    run: str
    procedure: str
    earliest: date
    latest: date
    conditions: Mapping[str, object]
    figures: Mapping[str, object]
    doubtful: bool = False


@dataclass(frozen=True)
class LeftOut:
    """A run that was not compared, and why."""

    run: str
    why: str


@dataclass(frozen=True)
class SeriesTrend:
    """The trend of one reading. Slopes are per year, in `unit`; None if too few runs are comparable.

    `direction` is falls, rises, or none shown; `points` are (run, ISO day, value), oldest first.
    """

    procedure: str
    reading: str
    unit: str
    direction: str
    says: str
    points: tuple[tuple[str, str, float], ...]
    left_out: tuple[LeftOut, ...]
    reasons: tuple[Reason, ...]
    slope: float | None = None
    low: float | None = None
    high: float | None = None
    s: int | None = None
    p: float | None = None

    def as_dict(self) -> dict[str, object]:
        """The object that stands in the JSON of `bench trend`."""
        return {
            "procedure": self.procedure,
            "reading": self.reading,
            "unit": self.unit,
            "direction": self.direction,
            "says": self.says,
            "slope_per_year": self.slope,
            "slope_low_per_year": self.low,
            "slope_high_per_year": self.high,
            "s": self.s,
            "p_value": self.p,
            "points": [{"run": run, "on": on, "value": value} for run, on, value in self.points],
            "left_out": [vars(each) for each in self.left_out],
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


def values_of(run: TrendRun) -> dict[str, tuple[float, str]]:
    """The values of a run that can have a trend, with their units, by reading.

    A winding at 20 degC, anything else as read; for a hold the share of the vacuum kept.
    """
    if isinstance(kept := run.figures.get("kept_share_at_limit"), float):
        return {"kept": (100.0 * kept, "%")}
    found = {}
    for name, figures in run.figures.items():
        if not isinstance(figures, Mapping):
            continue
        values = [(figures.get(key), "ohm") for key in ("at_20_degc_ohm", "as_read_ohm")]
        values.append((figures.get("as_read"), str(figures.get("unit") or "")))
        value = next(((each, unit) for each, unit in values if isinstance(each, int | float)), None)
        if value is not None:
            found[name] = (float(value[0]), value[1])
    return found


def trend_of(procedure: str, reading: str, runs: Sequence[TrendRun], since: date | None = None) -> SeriesTrend:
    """The trend of one reading over runs of one procedure; `since` is the day the unit was last worked on."""
    comparable, left_out = _comparable([run for run in runs if reading in values_of(run)], since)
    units = {values_of(run)[reading][1] for run in comparable}
    unit = next(iter(units)) if len(units) == 1 else ""
    points = _by_day(comparable, reading)
    told = tuple((run, day.isoformat(), value) for run, day, value in points)
    reasons = [_rule_of_rigs(left_out)]
    if len(points) < FEWEST:
        says = f"no trend can be shown from {_run_count(len(points))}: five are needed"
        return SeriesTrend(procedure, reading, unit, "none shown", says, told, tuple(left_out), tuple(reasons))
    days = [float((day - points[0][1]).days) for _, day, _ in points]
    values = [value for _, _, value in points]
    test, line = mann_kendall(values), theil_sen(days, values)
    slope, low, high = (each * _YEAR_DAYS for each in (line.slope, line.low, line.high))
    reasons.append(_rule_of_trend(test.s, test.p, exact=test.exact))
    direction = "none shown" if test.p > _RISK or slope == 0.0 else "falls" if slope < 0.0 else "rises"
    return SeriesTrend(
        procedure,
        reading,
        unit,
        direction,
        _says(direction, (slope, low, high), unit, len(points)),
        told,
        tuple(left_out),
        tuple(reasons),
        slope,
        low,
        high,
        test.s,
        test.p,
    )


def _comparable(runs: Sequence[TrendRun], since: date | None) -> tuple[list[TrendRun], list[LeftOut]]:
    """The largest group of comparable runs (of equal ones the latest), and the others with the reason."""
    left_out, fit = [], []
    for run in runs:
        if run.doubtful:
            left_out.append(LeftOut(run.run, "its instrument is doubtful"))
        elif run.latest - run.earliest > _VAGUE:
            left_out.append(LeftOut(run.run, "its month is not known"))
        elif since is not None and run.earliest <= since:
            left_out.append(LeftOut(run.run, "the unit was worked on later"))
        else:
            fit.append(run)
    by_rig: dict[tuple[str, ...], list[TrendRun]] = defaultdict(list)
    for run in fit:
        by_rig[_rig(run.conditions)].append(run)
    best = max(by_rig.values(), key=lambda each: (len(each), max(run.latest for run in each)), default=[])
    others = [run for run in fit if run not in best]
    left_out += [LeftOut(run.run, f"another rig: {_differs(run, best[0])}") for run in others]
    return best, left_out


def _rig(conditions: Mapping[str, object]) -> tuple[str, ...]:
    named = {name: str(conditions.get(name) or "").strip().casefold() for name in _SAME}
    if named["instrument"]:
        named["meter"] = ""  # its name stands for its accuracy
    return (*named.values(), _temperature(conditions), "leads noted" if conditions.get("leads") else "")


def _temperature(conditions: Mapping[str, object]) -> str:
    """How the part's temperature was known."""
    off = str(conditions.get("lain", "")).casefold() == "no" or bool(conditions.get("just off"))
    noted = "temperature noted" if conditions.get("ambient") else "temperature not noted"
    return f"{noted}, just off the engine" if off else noted


def _differs(run: TrendRun, other: TrendRun) -> str:
    """The differing conditions of two runs, in words."""
    names = (*_SAME, "", "")
    told = zip(names, _rig(run.conditions), _rig(other.conditions), strict=True)
    words = (
        f"{name} {mine or 'not noted'}" if name else mine or "leads not noted"
        for name, mine, theirs in told
        if mine != theirs
    )
    return "; ".join(words)


def _by_day(runs: Iterable[TrendRun], reading: str) -> list[tuple[str, date, float]]:
    """One value a day, oldest first: repeats on one day count as their median."""
    days: dict[date, list[tuple[str, float]]] = defaultdict(list)
    for run in runs:
        middle = run.earliest + (run.latest - run.earliest) // 2
        days[middle].append((run.run, values_of(run)[reading][0]))
    return [(each[-1][0], day, median(value for _, value in each)) for day, each in sorted(days.items())]


def _says(direction: str, slopes: tuple[float, float, float], unit: str, n: int) -> str:
    slope, low, high = slopes
    if direction == "none shown":
        span = f"{_number(low, '+')} to {_number(high, '+')} {unit} a year"
        return f"no trend can be shown: {span} (95 %), from {_run_count(n)}"
    ends = sorted((low, high)) if slope > 0 else sorted((-low, -high))
    return (
        f"{direction} by {_number(abs(slope))} {unit} a year, 95 % {_number(ends[0])} to {_number(ends[1])}; "
        f"seen in {_run_count(n)}"
    )


def _number(value: float, sign: str = "") -> str:
    """A slope with two digits, never as a power of ten."""
    rounded = float(f"{value:.2g}")
    text = f"{rounded:{sign}.6f}".rstrip("0").rstrip(".") if abs(rounded) < 100 else f"{rounded:{sign}.0f}"
    return text if rounded else "0"


def _run_count(n: int) -> str:
    return f"{n} run{'' if n == 1 else 's'}"


def _rule_of_rigs(left_out: Sequence[LeftOut]) -> Reason:
    rule = "only runs with the same instrument or rig and the temperature known in the same way are compared"
    says = f"{_run_count(len(left_out))} left out" if left_out else "all runs are comparable"
    return Reason(says, f"{rule}; repeats on one day count as their median", "no source", WORKSHOP)


def _rule_of_trend(s: int, p: float, *, exact: bool) -> Reason:
    how = "counted over all orders" if exact else "by the normal approximation"
    says = f"S = {s:+d}: the chance of this by luck is {'below 0.1%' if p < 0.001 else f'{p:.1%}'}"
    rule = f"Mann-Kendall, two-sided, {how}; below 5 % it is a trend; the slope is the median over all pairs"
    return Reason(says, rule, _SOURCE, FROM_MEMORY)
