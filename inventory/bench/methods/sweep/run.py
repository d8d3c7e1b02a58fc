"""The method "sweep": reads the typed sweep and that of its reference, a unit or a sheet, and judges them.

Points are in the order taken: down to the deepest, then back up. With "up:40cmHg=1.2H" they can be in any order.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from inventory.bench.methods.sweep.curve import Point, Sweep, Way
from inventory.bench.methods.sweep.judgement import judge_sweep
from inventory.bench.methods.sweep.reference import meter_of, reference_of
from inventory.bench.methods.sweep.values import SweepInput, SweepRules
from inventory.bench.quantities.readings import TimedReading, refuse_beyond_atmosphere, split_reading, without_sign
from inventory.bench.quantities.units import Quantity, parse_quantity
from inventory.bench.typed_run import TypedWords
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.procedure import Procedure

__all__ = ["CONDITIONS", "judge", "parse_ways", "read"]

CONDITIONS = (
    "frequency",
    "meter",
    "reference",
    "reference reading",
    "resolution",
    "ambient",
    "barometer",
    "note",
)
_UP, _DOWN = "up:", "down:"
_HINT = "type them as taken, down to the deepest and back up, or write up:40cmHg=1.2H for each on the way back"


def read(words: TypedWords) -> tuple[SweepInput, SweepRules]:
    """Read a typed sweep. Raises `Refused` for the first text of its own that cannot be read."""
    sweep = _sweep(words, words.readings, "reading")
    reference = reference_of(words, _sweep, {"frequency": words.text("frequency")})
    return SweepInput(sweep, reference), _rules(words.procedure)


def judge(given: tuple[SweepInput, SweepRules]) -> RunJudgement:
    """What the sweep proves."""
    return judge_sweep(*given)


def parse_ways(
    texts: Sequence[str], step: Quantity | None = None, barometer: Quantity | None = None, *, where: str = "reading"
) -> tuple[Way, Way]:
    """The way down and the way back up, each by rising vacuum; `step` is the gauge's resolution.

    A deepest point read once also begins the way back. Raises `Refused` if the points are no such curve.
    """
    marked = [_point(text, step, where) for text in texts]
    refuse_beyond_atmosphere([TimedReading(0.0, vacuum) for _, vacuum, _ in marked], barometer)
    if any(mark for mark, _, _ in marked):
        down = sorted((point for mark, _, point in marked if mark != _UP), key=lambda point: point.place)
        up = sorted((point for mark, _, point in marked if mark == _UP), key=lambda point: point.place)
    else:
        points = [point for _, _, point in marked]
        turn = max(range(len(points)), key=lambda place: points[place].place) + 1
        down, up = points[:turn], points[turn:][::-1]
    for way in (down, up):
        for before, after in pairwise(way):
            _refuse_disorder(before, after, where)
    if not down:
        raise Refused("no-way-down", "there is no reading on the way down", where=where, hint=_HINT)
    if up and up[-1].place > down[-1].place and not down[-1].at(up[-1].place):
        says = f"the way back begins at {up[-1].shown}, but the way down ended at {down[-1].shown}"
        raise Refused("out-of-order", says, where=where, hint=_HINT)
    if up and not up[-1].at(down[-1].place):
        up = [*up, down[-1]]
    return Way(tuple(down)), Way(tuple(up))


def _refuse_disorder(before: Point, after: Point, where: str) -> None:
    if after.at(before.place):
        says = f"there are two readings at {after.shown} on one way"
        raise Refused("vacuum-twice", says, where=where, hint="keep one")
    if after.place < before.place:
        says = f"{before.shown} and {after.shown} are not in order: one way down, then one way back up"
        raise Refused("out-of-order", says, where=where, hint=_HINT)


def _point(text: str, step: Quantity | None, where: str) -> tuple[str, Quantity, Point]:
    """One typed point: its mark ("up:", "down:" or none), its vacuum, and the point."""
    plain = text.strip()
    mark = next((each for each in (_UP, _DOWN) if plain.casefold().startswith(each)), "")
    vacuum_text, value_text = split_reading(plain[len(mark) :], where)
    vacuum = parse_quantity(without_sign(vacuum_text), "pressure", where=where)
    value = parse_quantity(value_text, "inductance", where=where)
    if value.si <= 0.0:
        raise Refused("no-size", f'"{text}": an inductance cannot be {value.spaced}', where=where)
    vacuum_step = step.si if step else vacuum.step_si
    return mark, vacuum, Point(vacuum.si, vacuum_step, value.si, value.step_si, vacuum.spaced)


def _sweep(words: TypedWords, readings: Sequence[str], where: str) -> Sweep:
    frequency = words.quantity("frequency", "frequency", sized=True)
    ambient, barometer = words.ambient(), words.quantity("barometer", "pressure", sized=True)
    down, up = parse_ways(readings, words.quantity("resolution", "pressure", sized=True), barometer, where=where)
    return Sweep(
        down,
        up,
        meter_of(words, "inductance"),
        frequency_hz=frequency.si if frequency else None,
        ambient_k=ambient.si if ambient else None,
        barometer_pa=barometer.si if barometer else None,
    )


def _rules(procedure: Procedure) -> SweepRules:
    figures = procedure.figures
    boundary, nominal = (f"{figures[name].value:g}{figures[name].unit}" for name in ("full_load", "nominal"))
    return SweepRules(
        difference=figures["difference"].value,
        gap=figures["gap"].value,
        points=round(figures["points"].value),
        boundary_pa=parse_quantity(boundary, "pressure").si,
        boundary=f"{figures['full_load'].value:g} {figures['full_load'].unit}",
        nominal_pa=parse_quantity(nominal, "pressure").si,
        frequency_apart=figures["frequency_apart"].value,
        ambient_apart_k=figures["ambient_apart"].value,
    )
