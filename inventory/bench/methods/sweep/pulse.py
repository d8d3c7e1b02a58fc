"""The method "pulse": opening times of a control unit on a bench simulator, beside those of a trusted unit.

Each reading is `SETTING=TIME`; the setting is an inductance, or a name as found on the simulator. A setting read
several times counts as the mean, with the spread of the repeats.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from inventory.bench.methods.sweep.curve import Point, Way
from inventory.bench.methods.sweep.pulse_judgement import Pulse, PulseInput, PulseRules, Setting, judge_pulse
from inventory.bench.methods.sweep.reference import meter_of, reference_of
from inventory.bench.quantities.readings import split_reading
from inventory.bench.quantities.repeats import pooled_spread, repeats_of
from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity
from inventory.bench.typed_run import TypedWords
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.procedure import Procedure
from inventory.store.words.text import fold

__all__ = ["CONDITIONS", "apart_of", "judge", "read"]

#: What is set on the simulator, and the dimensions in which each may be noted.
_SET: dict[str, tuple[Dimension, ...]] = {
    "engine speed": ("engine speed",),
    "voltage": ("voltage",),
    "coolant": ("temperature", "resistance"),
    "air": ("temperature", "resistance"),
    "throttle": (),
}
CONDITIONS = (*_SET, "meter", "reference", "reference reading", "note")


def read(words: TypedWords) -> tuple[PulseInput, PulseRules]:
    """Read typed opening times. Raises `Refused` for the first text of its own that cannot be read."""
    settings = {name: words.text(name) for name in _SET}
    return PulseInput(_pulse(words, words.readings, "reading"), reference_of(words, _pulse, settings)), _rules(words)


def judge(given: tuple[PulseInput, PulseRules]) -> RunJudgement:
    """What the opening times prove."""
    return judge_pulse(*given)


def _pulse(words: TypedWords, readings: Sequence[str], where: str) -> Pulse:
    """The opening times by setting, repeats together."""
    typed: dict[float | str, list[Quantity]] = defaultdict(list)
    shown: dict[float | str, Quantity | str] = {}
    for text in readings:
        left, right = split_reading(text, where)
        at: Quantity | str = parse_quantity(left, "inductance", where=where) if left[:1].isdigit() else left
        key = at.si if isinstance(at, Quantity) else fold(at)
        time = parse_quantity(right, "time", where=where)
        if time.si <= 0.0:
            raise Refused("no-size", f'"{text}": an opening time cannot be {time.spaced}', where=where)
        typed[key].append(time)
        shown.setdefault(key, at)
    spread, freedom = pooled_spread([[each.si for each in several] for several in typed.values()])
    if not freedom:
        spread = words.procedure.figures["read_once"].value
    points = [_point(shown[key], several, spread, freedom or math.inf) for key, several in typed.items()]
    return Pulse(
        way=Way(tuple(sorted((each for each in points if each.place), key=lambda point: point.place))),
        named={fold(each.shown): each for each in points if not each.place},
        meter=meter_of(words, "time"),
        settings={name: _setting(words, name) for name in _SET},
        spread=spread if freedom else None,
        freedom=freedom,
    )


def _point(at: Quantity | str, times: Sequence[Quantity], spread: float, freedom: float) -> Point:
    """One setting; a named one has no place on the curve."""
    mean = repeats_of([time.si for time in times]).mean
    step = max(time.step_si for time in times)
    sure = mean * spread / math.sqrt(len(times))
    if isinstance(at, str):
        return Point(0.0, 0.0, mean, step, at, sure, freedom)
    return Point(at.si, at.step_si, mean, step, at.spaced, sure, freedom)


def _setting(words: TypedWords, name: str) -> Setting | None:
    """One thing set on the simulator; None if it was not noted. Raises `Refused` if it cannot be read."""
    text = words.text(name)
    if not text:
        return None
    if not _SET[name] or fold(text) == "none":
        return Setting(text)
    refusals = []
    for dimension in _SET[name]:
        try:
            found = parse_quantity(text, dimension, where=name)
        except Refused as refusal:
            refusals.append(refusal)
        else:
            return Setting(found.spaced, dimension, found.si)
    raise refusals[0]


def _rules(words: TypedWords) -> PulseRules:
    figures = {name: figure.value for name, figure in words.procedure.figures.items()}
    return PulseRules(
        difference=figures["difference"],
        points=round(figures["points"]),
        read_once=figures["read_once"],
        apart=apart_of(words.procedure),
    )


def apart_of(procedure: Procedure) -> dict[str, tuple[float, float]]:
    """How far what was set may differ, by dimension: absolutely in SI, and as a share."""
    figures = procedure.figures
    return {
        "engine speed": (0.0, figures["engine_speed_apart"].value),
        "voltage": (figures["voltage_apart"].value, 0.0),
        "temperature": (figures["temperature_apart"].value, 0.0),
        "resistance": (0.0, figures["resistance_apart"].value),
    }
