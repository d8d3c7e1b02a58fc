"""The method "hold": reads the typed run and judges it with the limits on file."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from inventory.bench.methods.hold.judgement import judge_hold
from inventory.bench.methods.hold.rig_proof import OtherHold, hold_proof
from inventory.bench.methods.hold.values import Air, HoldInput, HoldLimits, Rig
from inventory.bench.quantities.readings import parse_timed, refuse_beyond_atmosphere
from inventory.bench.quantities.units import Quantity, parse_quantity
from inventory.bench.typed_run import RigRun, TypedWords
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.procedure import Figure, Procedure

__all__ = ["CONDITIONS", "judge", "read"]

CONDITIONS = (
    "resolution",
    "blank",
    "rig",
    "rig mended",
    "volume",
    "rig volume",
    "clock from",
    "zero",
    "strokes",
    "usual strokes",
    "gauge at",
    "hose",
    "trap",
    "not drawn",
    "ambient",
    "ambient end",
    "barometer",
    "barometer end",
    "altitude",
    "note",
)


#: Lower-case units of dials that are read between their figures -> the figure on file with the dial's step.
_DIALS = {"mmhg": "dial_mmhg", "torr": "dial_mmhg", "mbar": "dial_mbar", "hpa": "dial_mbar"}


def read(words: TypedWords) -> tuple[HoldInput, HoldLimits, TypedWords]:
    """Read a typed hold. Raises `Refused` for the first text that cannot be read."""
    return _hold(words), _limits(words.procedure), words


def _hold(words: TypedWords) -> HoldInput:
    air = _air(words)
    altitude = words.quantity("altitude", "length")
    blank = parse_timed(words.texts("blank"), where="blank")
    timed = parse_timed(words.readings)
    refuse_beyond_atmosphere((*timed, *blank), air.barometer, altitude)
    if air.barometer_end is not None:
        refuse_beyond_atmosphere((), air.barometer_end, altitude)
    zero = _zero(words)
    since = words.quantity("clock from", "time")
    figures = words.procedure.figures
    return HoldInput(
        readings=timed,
        blank=blank,
        resolution=words.quantity("resolution", "pressure", sized=True),
        volume=words.quantity("volume", "volume", sized=True),
        zero_pa=zero,
        zero_text=words.text("zero"),
        line=words.correction("pressure"),
        clock_from_s=since.si if since is not None else None,
        not_drawn=words.flag("not drawn"),
        rig=_rig(words),
        air=air,
        dial_steps={unit: _pressure(figures[name]).si for unit, name in _DIALS.items()},
    )


def judge(given: tuple[HoldInput, HoldLimits, TypedWords]) -> RunJudgement:
    """What the hold proves. Only one that fell short asks what other runs show of its rig."""
    hold, limits, words = given
    found, day = judge_hold(hold, limits), words.context.same_rig
    if found.figures["rig_cleared"] is None or not (day.before or day.after):
        return found
    before, after = ([_other(run, words) for run in runs] for runs in (day.before, day.after))
    proof = hold_proof(hold, limits, before, after, mended=words.flag("rig mended"))
    return judge_hold(replace(hold, proof=proof), limits)


def _other(run: RigRun, words: TypedWords) -> OtherHold:
    """Another run on the rig, read as far as it can be; of any procedure of this method."""
    data = words.context.data
    there = TypedWords(words.procedure, replace(words.context, instrument=run.instrument), run.readings, run.conditions)
    mended, same_unit = there.flag("rig mended"), run.thing_id == words.context.same_rig.thing_id
    proc = next((each for each in data.procedures if each.name == run.procedure and each.method == "hold"), None)
    if proc is None or (run.instrument is not None and run.instrument.doubt):
        return OtherHold(run.fact, mended, same_unit)
    try:
        hold = _hold(replace(there, procedure=proc))
    except Refused:
        return OtherHold(run.fact, mended, same_unit)
    return OtherHold(run.fact, mended, same_unit, (hold, _limits(proc)))


def _air(words: TypedWords) -> Air:
    altitude = words.quantity("altitude", "length")
    for name in ("ambient", "barometer"):
        if words.text(f"{name} end") and not words.text(name):
            raise Refused(
                "no-start",
                f"{name} is given for the end of the run, but not for its start",
                where=f"{name} end",
                hint="give both",
            )
    return Air(
        barometer=words.quantity("barometer", "pressure"),
        barometer_end=words.quantity("barometer end", "pressure"),
        altitude_m=altitude.si if altitude is not None else None,
        ambient=words.ambient(),
        ambient_end=words.ambient("ambient end"),
    )


def _zero(words: TypedWords) -> float:
    """The needle's reading before drawing, Pa; negative if it is on the other side of its mark."""
    text = words.text("zero").replace("\u2212", "-")
    below = text.startswith("-")
    found = parse_quantity(text.lstrip("-+ "), "pressure", where="zero") if text else None
    return 0.0 if found is None else -found.si if below else found.si


def _rig(words: TypedWords) -> Rig:
    hose = words.text("hose").casefold()
    length = None if hose in ("", "long", "short") else words.quantity("hose", "length")
    return Rig(
        volume=words.quantity("rig volume", "volume", sized=True),
        strokes=_count(words, "strokes"),
        usual_strokes=_count(words, "usual strokes"),
        gauge_at=_gauge_at(words),
        hose_m=length.si if length is not None else None,
        hose_long=hose == "long",
        trap=words.flag("trap"),
    )


def _gauge_at(words: TypedWords) -> Literal["unit", "pump"]:
    side = words.text("gauge at").casefold()
    if side in ("", "unit"):
        return "unit"
    if side == "pump":
        return "pump"
    raise Refused("no-side", f'"{side}" is not a side of the check valve', where="gauge at", hint="write unit or pump")


def _count(words: TypedWords, name: str) -> float | None:
    found = words.quantity(name, "count")
    if found is not None and found.value <= 0.0:
        raise Refused(
            "no-size",
            f"{found.spaced} strokes cannot draw a vacuum",
            where=name,
            hint="give the number of strokes, e.g. 12",
        )
    return None if found is None else found.value


def _limits(procedure: Procedure) -> HoldLimits:
    figures = procedure.figures
    return HoldLimits(
        share=figures["share"].value,
        time_s=figures["time"].value,
        nominal_pa=(_pressure(figures["nominal_low"]).si, _pressure(figures["nominal_high"]).si),
        near=figures["near"].value,
        long_s=figures["long_hold"].value,
        drift_k=figures["drift_temperature"].value,
        drift_pa=_pressure(figures["drift_barometer"]).si,
        few_strokes=figures["few_strokes"].value,
        long_hose_m=figures["long_hose"].value,
        volume_share=figures["volume_known"].value,
        better_s=figures["better_proof"].value,
        timing_s=figures["timing"].value,
        by_hand=round(figures["by_hand"].value),
    )


def _pressure(figure: Figure) -> Quantity:
    return parse_quantity(f"{figure.value}{figure.unit}", "pressure")
