"""The one door to a judgement on a bench run: what was typed in, verdict and reasons out.

`check` refuses what cannot be read before anything is stored; `judge` says what it proves. The typed words are
all that is kept of a run, so a better rule judges old runs anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.bench.readings import (
    MeterSpec,
    NamedReading,
    TimedReading,
    parse_meter,
    parse_named,
    parse_timed,
    refuse_beyond_atmosphere,
)
from inventory.bench.units import Dimension, Quantity, parse_quantity
from inventory.bench.verdicts import RunJudgement, Verdict
from inventory.errors import Refused
from inventory.reasons import WORKSHOP, Reason
from inventory.reference.load import Procedure, procedure
from inventory.reference.load import kind as kind_of

__all__ = ["CONDITIONS", "RunJudgement", "Verdict", "check", "judge"]

CONDITIONS = ("resolution", "blank", "volume", "ambient", "barometer", "meter", "note")
"""What may be noted beside readings: `blank` a list of readings, `note` a remark, the others one typed word each."""

_PLAIN: dict[str, Dimension] = {"volume": "volume", "ambient": "temperature", "barometer": "pressure"}
_AMBIENT_K = (213.15, 473.15)


@dataclass(frozen=True)
class _Run:
    """A run read: its procedure and kind, and every typed word as what it means."""

    procedure: Procedure
    kind: str
    timed: tuple[TimedReading, ...]
    named: tuple[NamedReading, ...]
    blank: tuple[TimedReading, ...]
    noted: dict[str, Quantity]
    meter: MeterSpec | None


def check(procedure_name: str, kind: str, readings: Sequence[str], conditions: Mapping[str, object]) -> None:
    """Read everything typed for a run; raise `Refused` for the first word that cannot stand."""
    _parsed(procedure_name, kind, readings, conditions)


def judge(procedure_name: str, kind: str, readings: Sequence[str], conditions: Mapping[str, object]) -> RunJudgement:
    """What a run proves of a part of that kind.

    Never raises: a run on record that can no longer be read (its part was found to be of another kind, say) is not
    judged, with the sentence that `check` would refuse it with.
    """
    try:
        run = _parsed(procedure_name, kind, readings, conditions)
    except Refused as refusal:
        rule = "a run is judged only where every word of it can be read"
        reason = Reason(refusal.message, rule, "no source", WORKSHOP)
        return RunJudgement("not judged", f"not judged: {refusal.message}", {}, (reason,))
    return _judge_hold(run) if run.procedure.name == "hold" else _judge_resistance(run)


def _parsed(procedure_name: str, kind: str, readings: Sequence[str], conditions: Mapping[str, object]) -> _Run:
    proc, part = procedure(procedure_name), kind_of(kind)
    if proc.name not in part.procedures:
        can = ", ".join(part.procedures)
        raise Refused(
            "procedure-not-for-kind",
            f"a {proc.name} run says nothing about a {part.name}",
            where="procedure",
            hint=f"for a {part.name}: {can}" if can else f"the bench knows no test of a {part.name} yet",
        )
    if not readings:
        raise Refused("no-readings", "a run without readings", where="reading", hint=f"give {proc.reads}")
    for name in conditions:
        if name not in CONDITIONS:
            raise Refused("no-such-condition", f'nothing called "{name}" is noted beside a run', where=name)
    texts = {name: str(value) for name, value in conditions.items() if value and name != "blank"}
    noted = {
        name: parse_quantity(texts[name], dimension, where=name) for name, dimension in _PLAIN.items() if name in texts
    }
    wanted: Dimension = "pressure" if proc.name == "hold" else "resistance"
    if "resolution" in texts:
        noted["resolution"] = parse_quantity(texts["resolution"], wanted, where="resolution")
    for name in ("resolution", "volume"):
        if name in noted and (noted[name].si <= 0.0 or noted[name].beyond):
            raise Refused("no-size", f"a {name} of {noted[name].spaced} is none", where=name)
    _refuse_weather(noted.get("ambient"))
    return _with_readings(proc, part.name, readings, conditions, noted, texts.get("meter"))


def _with_readings(
    proc: Procedure,
    kind: str,
    readings: Sequence[str],
    conditions: Mapping[str, object],
    noted: dict[str, Quantity],
    meter: str | None,
) -> _Run:
    blank = parse_timed(_texts(conditions.get("blank")), where="blank")
    hold = proc.name == "hold"
    names = tuple(spec.name for spec in proc.readings_of(kind))
    timed = parse_timed(readings) if hold else ()
    named = () if hold else parse_named(readings, names)
    refuse_beyond_atmosphere((*timed, *blank), noted.get("barometer"))
    return _Run(proc, kind, timed, named, blank, noted, parse_meter(meter) if meter else None)


def _texts(value: object) -> list[str]:
    """A condition that is a list of readings, as a list; one alone counts as a list of one."""
    if isinstance(value, str):
        return [value]
    return [str(each) for each in value] if isinstance(value, (list, tuple)) else []


def _refuse_weather(ambient: Quantity | None) -> None:
    low, high = _AMBIENT_K
    if ambient is not None and not low <= ambient.si <= high:
        raise Refused(
            "no-ambient",
            f"no part lies at {ambient.spaced} on a bench",
            where="ambient",
            hint="write the part's own temperature like 20degC",
        )


def _judge_hold(run: _Run) -> RunJudgement:
    # The fit costs numpy and scipy (about 1 s together): only a hold that is judged pays.
    from inventory.bench.hold import judge_hold
    from inventory.bench.hold_facts import HoldInput, HoldLimits

    figures = run.procedure.figures
    nominal = tuple(
        parse_quantity(f"{figures[name].value}{figures[name].unit}", "pressure").si
        for name in ("nominal_low", "nominal_high")
    )
    limits = HoldLimits(figures["share"].value, figures["time"].value, (nominal[0], nominal[1]), figures["near"].value)
    given = HoldInput(run.timed, run.blank, run.noted.get("resolution"), run.noted.get("volume"))
    return judge_hold(given, limits)


def _judge_resistance(run: _Run) -> RunJudgement:
    from inventory.bench.resistance import ResistanceInput, ResistanceRules, judge_resistance

    figures = run.procedure.figures
    share, counts = figures["assumed_meter_share"].value, figures["assumed_meter_counts"].value
    rules = ResistanceRules(
        specs=run.procedure.readings_of(run.kind),
        alpha_per_k=figures["copper"].value,
        source_of_alpha=figures["copper"].source,
        assumed_degc=figures["assumed_temperature"].value,
        assumed_half_width_k=figures["assumed_temperature_half_width"].value,
        overrange_ohm=figures["overrange"].value,
        assumed_meter=MeterSpec(share, 0.0, counts, f"{100 * share:g} % of the reading and {counts:g} steps"),
    )
    given = ResistanceInput(run.named, run.noted.get("ambient"), run.meter, run.noted.get("resolution"))
    return judge_resistance(given, rules)
