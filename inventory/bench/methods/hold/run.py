"""The method "hold": reads the typed run and judges it with the limits on file."""

from __future__ import annotations

from typing import Literal

from inventory.bench.methods.hold.judgement import judge_hold
from inventory.bench.methods.hold.values import Air, HoldInput, HoldLimits, Rig
from inventory.bench.quantities.readings import parse_timed, refuse_beyond_atmosphere
from inventory.bench.quantities.units import Quantity, parse_quantity
from inventory.bench.typed_run import TypedWords
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.procedure import Figure, Procedure

__all__ = ["CONDITIONS", "judge", "read"]

CONDITIONS = (
    "resolution",
    "blank",
    "rig",
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


def read(words: TypedWords) -> tuple[HoldInput, HoldLimits]:
    """Read a typed hold. Raises `Refused` for the first text that cannot be read."""
    air = _air(words)
    altitude = words.quantity("altitude", "length")
    blank = parse_timed(words.texts("blank"), where="blank")
    timed = parse_timed(words.readings)
    refuse_beyond_atmosphere((*timed, *blank), air.barometer, altitude)
    if air.barometer_end is not None:
        refuse_beyond_atmosphere((), air.barometer_end, altitude)
    zero = _zero(words)
    since = words.quantity("clock from", "time")
    given = HoldInput(
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
    )
    return given, _limits(words.procedure)


def judge(given: tuple[HoldInput, HoldLimits]) -> RunJudgement:
    """What the hold proves."""
    return judge_hold(*given)


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
    )


def _pressure(figure: Figure) -> Quantity:
    return parse_quantity(f"{figure.value}{figure.unit}", "pressure")
