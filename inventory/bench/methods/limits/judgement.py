"""What named readings prove that are held against limits: volts, amperes, pressures, drops, words. Pure.

Each reading by its own limit, with a guard on either side; a reading without a limit on file is told and not judged.
Where the limit holds only under some condition, that condition must have been noted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from inventory.bench.quantities.units import Quantity, shown
from inventory.bench.typed_run import Pair
from inventory.bench.verdicts import GUARD, RunJudgement, Verdict, worst
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason
from inventory.reference.procedure import Figure, ReadingSpec

__all__ = ["Limit", "LimitsInput", "Only", "Read", "against", "judge_limits", "widest_doubt"]

_ROOT_3 = math.sqrt(3.0)
_MANUAL = "check your workshop manual"


@dataclass(frozen=True)
class Only:
    """The range of a condition within which a limit holds, in SI, and how it is said."""

    condition: str
    low: float
    high: float
    says: str


@dataclass(frozen=True)
class Limit:
    """What is on file for a reading; `low`, `high` in SI, `unit_si` one of the unit on file in SI, `time_s` the time
    that a reading "left after" is named by."""

    spec: ReadingSpec
    low: float | None = None
    high: float | None = None
    unit_si: float = 1.0
    time_s: float = 0.0
    only: tuple[Only, ...] = ()


@dataclass(frozen=True)
class Read:
    """One thing read: a number in SI give or take `half_width` (SI), in the unit typed for people; or a word.

    `beyond`: over the meter's range, `si` is the least it can be. `time_s`: when it was read, where that counts.
    """

    name: str
    limit: Limit
    si: float = 0.0
    half_width: float = 0.0
    unit: str = ""
    unit_si: float = 1.0
    text: str = ""
    beyond: bool = False
    word: str = ""
    time_s: float = 0.0

    @property
    def u(self) -> float:
        """Its standard uncertainty in SI: what a meter may be out by is the half-width of a rectangle."""
        return self.half_width / _ROOT_3


@dataclass(frozen=True)
class LimitsInput:
    """A run: what was read, what is read in this procedure, what was noted beside it, and how finely it was read."""

    readings: tuple[Read, ...]
    limits: tuple[Limit, ...]
    beside: Mapping[str, Quantity | str] = field(default_factory=dict)
    meter: str = ""
    most_voltage: Figure | None = None
    pair: Pair | None = None
    unread: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Judged:
    name: str
    verdict: Verdict
    says: str
    figures: dict[str, object]
    reasons: tuple[Reason, ...]
    limited: bool
    required: bool


def judge_limits(given: LimitsInput) -> RunJudgement:
    """Judge each reading by its own limit; the run is as good as the worst that has one.

    It passes only where it is whole, and where nothing that it needs is without a limit.
    """
    judged = [_judge_one(reading, given) for reading in (*given.readings, *_ratios(given))]
    verdict = worst([one.verdict for one in judged if one.limited])
    read = {one.name for one in judged} | {reading.limit.spec.name for reading in given.readings}
    missing = [limit.spec.name for limit in given.limits if limit.spec.required and limit.spec.name not in read]
    missing += given.unread
    if verdict == "pass" and any(one.required and not one.limited for one in judged):
        verdict = "not judged"
    if verdict == "pass" and missing:
        verdict = "undecided"
    says = "; ".join(one.says for one in judged)
    if missing:
        says += f"; not read: {', '.join(missing)}"
    figures: dict[str, object] = {one.name: one.figures for one in judged}
    if given.pair is not None and given.pair.sensor:
        figures["pair"] = {"sensor": given.pair.sensor, "unit": given.pair.unit}
    reasons = [reason for one in judged for reason in one.reasons]
    return RunJudgement(verdict, says, figures, (*dict.fromkeys(reasons), *_beside(given, missing)))


def against(value: float, u: float, low: float | None, high: float | None) -> Verdict:
    """A value against its limits, in one unit, `GUARD` standard uncertainties kept on either side of each."""
    if low is None and high is None:
        return "not judged"
    guard = GUARD * u
    if (low is not None and value + guard < low) or (high is not None and value - guard > high):
        return "fail"
    inside = (low is None or value - guard >= low) and (high is None or value + guard <= high)
    return "pass" if inside else "undecided"


def widest_doubt(value: float, low: float | None, high: float | None) -> float:
    """Largest error with which a value near a limit is still decided, in the unit of all three."""
    return min(abs(value - limit) for limit in (low, high) if limit is not None) * _ROOT_3 / GUARD


def _judge_one(reading: Read, given: LimitsInput) -> _Judged:
    limit, spec = reading.limit, reading.limit.spec
    limited = limit.low is not None or limit.high is not None or bool(spec.good)
    verdict = _verdict(reading)
    why = _not_held(reading, given, verdict) if limited else ""
    if why:
        verdict = "undecided" if why.startswith("only") else "not judged"
    wanted = "" if reading.word and verdict == "pass" else _wanted(reading)
    says = f"{_in_words(reading)}{f' ({wanted})' if wanted else ''}: {verdict if limited else _untold(reading)}"
    says += f", {why}" if why else ""
    unit = limit.unit_si
    measured = not reading.word and not reading.beyond
    if verdict == "undecided" and not why and spec.form == "left after" and reading.time_s < limit.time_s:
        says += f", read it again at {limit.time_s / 60:g} min"
    figures: dict[str, object] = {
        "as_read": reading.si / unit if measured else None,
        "unit": spec.unit,
        "expanded_uncertainty": 2.0 * reading.u / unit if measured else None,
        "low_limit": spec.low,
        "high_limit": spec.high,
        "at_least": reading.si / unit if reading.beyond else None,
        "word": reading.word or None,
        "verdict": verdict,
    }
    reasons = tuple(_reasons(reading, says, verdict, limited))
    return _Judged(reading.name, verdict, says, figures, reasons, limited, spec.required)


def _verdict(reading: Read) -> Verdict:
    """What a reading comes to where its limit holds."""
    limit, spec = reading.limit, reading.limit.spec
    if reading.word:
        return "not judged" if not spec.good else "pass" if reading.word in spec.good else "fail"
    if reading.beyond:
        return _beyond(reading.si, limit.low, limit.high)
    found = against(reading.si, reading.u, limit.low, limit.high)
    if spec.form == "left after" and found in ("pass", "fail") and reading.time_s != limit.time_s:
        # pressure only falls: still enough later was enough then, too little sooner is too little then
        decides = (found == "pass") == (reading.time_s > limit.time_s)
        return found if decides else "undecided"
    return found


def _beyond(at_least: float, low: float | None, high: float | None) -> Verdict:
    """A reading beyond the range: at least so much."""
    if low is None and high is None:
        return "not judged"
    if high is not None and at_least > high:
        return "fail"
    return "pass" if high is None and low is not None and at_least >= low else "undecided"


def _not_held(reading: Read, given: LimitsInput, verdict: Verdict) -> str:
    """Why the limit does not apply to a reading; empty if it does."""
    spec = reading.limit.spec
    lacking = [name for name in spec.needs if name not in given.beside]
    if lacking:
        return f"note {' and '.join(lacking)} beside it"
    for only in reading.limit.only:
        noted = given.beside.get(only.condition)
        if not isinstance(noted, Quantity):
            return f"the limit holds at {only.says}: note {only.condition} beside it"
        if only.low <= noted.si <= only.high:
            continue
        if spec.form == "drop under load":  # a drop grows with the load
            if verdict == "fail" and noted.si < only.low:
                continue
            return f"only {noted.spaced} was drawn; the limit holds at {only.says}"
        return f"the limit holds at {only.says}, not at {noted.spaced}"
    return ""


def _ratios(given: LimitsInput) -> list[Read]:
    """Ratios of two readings, where both were read as numbers."""
    by_name = {reading.name: reading for reading in given.readings if not reading.word and not reading.beyond}
    found = []
    for limit in given.limits:
        over, under = by_name.get(limit.spec.of), by_name.get(limit.spec.to)
        if limit.spec.form != "ratio" or over is None or under is None or not under.si or not over.si:
            continue
        ratio = over.si / under.si
        half = ratio * math.hypot(over.half_width / over.si, under.half_width / under.si)
        found.append(Read(limit.spec.name, limit, ratio, half, text=shown(ratio, half)))
    return found


def _untold(reading: Read) -> str:
    """What is said of a reading that nothing is on file to hold against."""
    return "told, not judged" if reading.word else "no limit on file"


def _in_words(reading: Read) -> str:
    if reading.word:
        return f"{reading.name} {reading.word}"
    if reading.beyond:
        return f"{reading.name} beyond the range ({reading.text})"
    return f"{reading.name} {reading.text} {reading.unit}".rstrip()


def _wanted(reading: Read) -> str:
    """A limit as it is said, in the unit typed: `at most 0.3 V`, `wanted: even cone`."""
    limit, spec = reading.limit, reading.limit.spec
    if spec.good:
        return f"wanted: {' or '.join(spec.good)}"
    per, unit = (reading.unit_si, reading.unit) if reading.unit else (limit.unit_si, spec.unit)
    digits = 6 if math.isclose(per, limit.unit_si) else 4
    low = None if limit.low is None else f"{limit.low / per:.{digits}g}"
    high = None if limit.high is None else f"{limit.high / per:.{digits}g}"
    after = f" after {limit.time_s / 60:g} min" if spec.form == "left after" else ""
    if low is not None and low == high:
        return f"wanted: {low} {unit}".rstrip()
    if low is not None and high is not None:
        return f"{low} to {high} {unit}".rstrip()
    if low is not None:
        return f"at least {low} {unit}".rstrip() + after
    return f"at most {high} {unit}".rstrip() if high is not None else ""


def _reasons(reading: Read, says: str, verdict: Verdict, limited: bool) -> list[Reason]:
    limit, spec = reading.limit, reading.limit.spec
    source = f"the workshop's own: {spec.source}" if spec.own else spec.source
    if not limited:
        rule = "a word with nothing to hold it against is kept" if reading.word else f"no limit on file: {_MANUAL}"
        reasons = [Reason(says, rule, "no source", WORKSHOP)]
    elif reading.word:
        reasons = [Reason(says, f"{_wanted(reading)}; a word is taken as it was noted", source, spec.standing)]
    else:
        rule = f"{_wanted(reading)}; called only {GUARD} standard uncertainties clear of a limit"
        reasons = [Reason(says, rule, source, spec.standing)]
    if verdict == "undecided" and not reading.beyond and not reading.word:
        step = widest_doubt(reading.si, limit.low, limit.high) / reading.unit_si
        if 0.0 < step < reading.half_width / reading.unit_si:
            would = f"{reading.name}: known to within {step:.1g} {reading.unit}".rstrip() + ", it would be decided"
            reasons.append(Reason(would, "the finer it is read, the nearer to its limit it can be called"))
    if spec.remark:
        reasons.append(Reason(spec.remark, "told beside the reading", "no source", spec.standing))
    return reasons


def _beside(given: LimitsInput, missing: list[str]) -> list[Reason]:
    """What is told of the run as a whole."""
    reasons = []
    remembered = [
        reading.name
        for reading in given.readings
        if reading.limit.spec.standing == FROM_MEMORY and not reading.limit.spec.own
    ]
    if remembered:
        says = f"from memory, {_MANUAL}: what {', '.join(remembered)} should be"
        reasons.append(Reason(says, "a figure from memory is no standard", _MANUAL, FROM_MEMORY))
    if any(reading.half_width for reading in given.readings):
        rule = (
            "what a meter may be out by is the half-width of a rectangle, so the standard uncertainty is it over root 3"
        )
        reasons.append(Reason(given.meter, rule, "JCGM 100:2008, 4.3.7 (from memory)", WORKSHOP))
    if missing:
        reasons.append(Reason(f"not read: {', '.join(missing)}", "a run that is not whole passes nothing"))
    voltage, most = given.beside.get("voltage"), given.most_voltage
    if most is not None and isinstance(voltage, Quantity) and voltage.si > most.value:
        says = f"tested at {voltage.spaced}, more than the {most.value:g} {most.unit} allowed: test it all again"
        reasons.append(Reason(says, most.says, most.source, most.standing))
    if given.pair is not None:
        reasons.append(
            Reason(
                given.pair.says, "what is fitted is known from fittings and removals", "", WORKSHOP, given.pair.facts
            )
        )
    return reasons
