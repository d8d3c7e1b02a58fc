"""The method "limits": reads the typed run with the limits on file for the kind, and judges it in SI."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar, cast

from inventory.bench.methods.limits.day_on_rig import rig_of
from inventory.bench.methods.limits.judgement import judge_limits
from inventory.bench.methods.limits.values import Limit, LimitsInput, ReadValue, ValidRange
from inventory.bench.methods.resistance.run import leads_of
from inventory.bench.quantities.readings import MeterSpec, parse_meter, split_reading
from inventory.bench.quantities.repeats import repeats_of
from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity, shown
from inventory.bench.typed_run import TypedWords
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.forms import LIMIT_CONDITIONS, UNITS
from inventory.reference.procedure import OnlyAt, PinList, ReadingSpec
from inventory.store.words.text import fold

__all__ = ["CONDITIONS", "judge", "read"]

CONDITIONS = LIMIT_CONDITIONS

T = TypeVar("T")

_QUANTITIES: dict[str, Dimension] = {"pressure": "pressure", "over": "time", "load": "current", "voltage": "voltage"}
#: Rates that may be measured by catching or counting over a time.
_CAUGHT: dict[Dimension, Dimension] = {"flow rate": "volume", "drop rate": "count"}
_PINS = ("each pin", "between pins")


def read(words: TypedWords) -> LimitsInput:
    """Read a typed run. Raises `Refused` for the first text that cannot be read."""
    specs = words.procedure.readings_of(words.kind)
    if not specs:
        says = f"no limits are on file for {words.procedure.name} runs on a {words.kind}"
        raise Refused(
            "nothing-on-file",
            says,
            where="reading",
            hint="add them to the workshop's own file: matchmark bench template FILE",
        )
    noted = _noted(words)
    limits = tuple(_limit(spec, words.procedure.doubt_of(spec)) for spec in specs)
    pins = words.context.data.pin_list(words.context.part_number) if words.context.part_number else None
    accuracy = _Accuracy.of(words, limits)
    own = words.procedure.figures.get("own_spread")
    typed = [_read_one(text, words, limits, noted, accuracy, pins) for text in words.readings]
    found = _together(typed, own.value if own else 0.0)
    leak_test = any(spec.form == "left after" for spec in specs)
    return LimitsInput(
        readings=tuple(found),
        rig=rig_of(words) if leak_test else None,
        limits=limits,
        noted=noted,
        meter=accuracy.says,
        most_voltage=words.procedure.figures.get("most_voltage"),
        pair=words.context.pair,
        unread=_pins_not_read(pins, found),
        leads=leads_of(words),
        usual_leads_ohm=_usual_leads_ohm(words),
    )


def _together(typed: list[ReadValue], own_spread: float) -> list[ReadValue]:
    """The readings, repeats of one taken together. Raises `Refused` for repeats that are no numbers.

    `own_spread` is that of the method, a share, for what was read once.
    """
    several: dict[tuple[str, float], list[ReadValue]] = defaultdict(list)
    for each in typed:
        several[each.name, each.time_s].append(each)
    found = []
    for (name, _), same in several.items():
        first = same[0]
        if len(same) > 1 and any(each.word or each.beyond or each.time_s for each in same):
            raise Refused("reading-twice", f"there are two readings for {name}", where="reading", hint="keep one")
        if len(same) > 1:
            repeats, half = repeats_of([each.si for each in same]), max(each.half_width for each in same)
            unit = first.limit.spec.unit
            zero, unit_si = _scale(unit)
            text = shown((repeats.mean - zero) / unit_si, half / unit_si)
            first = replace(
                first, si=repeats.mean, half_width=half, unit=unit, unit_si=unit_si, text=text, repeats=repeats
            )
        elif own_spread and not (first.word or first.beyond):
            first = replace(first, own_spread=own_spread * first.si)
        found.append(first)
    return found


def judge(given: LimitsInput) -> RunJudgement:
    """What the readings prove."""
    return judge_limits(given)


@dataclass(frozen=True)
class _Accuracy:
    """The accuracy of the readings by dimension: a meter's specification or a resolution, else the last digit typed."""

    meters: dict[Dimension, MeterSpec]
    resolutions: dict[Dimension, float]
    says: str

    @classmethod
    def of(cls, words: TypedWords, limits: tuple[Limit, ...]) -> _Accuracy:
        """From the noted meter or resolution. Raises `Refused` if it fits none of the readings."""
        wanted = {UNITS[limit.spec.unit]: None for limit in limits if not limit.spec.words}
        dimensions = [cast("Dimension", each) for each in wanted]
        dimensions += [_CAUGHT[each] for each in dimensions if each in _CAUGHT]
        meter, resolution = words.text("meter"), words.text("resolution")
        meters = dict(_fitting(lambda each: parse_meter(meter, each), dimensions)) if meter else {}
        steps = (
            dict(_fitting(lambda each: parse_quantity(resolution, each, where="resolution").si, dimensions))
            if resolution
            else {}
        )
        if meter:
            says = f"meter {meter}, shown at k = 2"
        elif resolution:
            says = f"read to {resolution}: each reading may be out by that much"
        else:
            says = "no meter and no resolution noted: each reading may be out by one of its last digit"
        return cls(meters, steps, says)

    def half_width(self, quantity: Quantity, dimension: Dimension) -> float:
        """The largest error of a reading, in SI."""
        step = self.resolutions.get(dimension, quantity.step_si)
        if meter := self.meters.get(dimension):
            return meter.half_width(quantity.si, step)
        return step


def _fitting(read_as: Callable[[Dimension], T], dimensions: list[Dimension]) -> Iterator[tuple[Dimension, T]]:
    """The text read for each dimension that it fits. Raises the first refusal if it fits none."""
    refusals = []
    for each in dimensions:
        try:
            yield each, read_as(each)
        except Refused as refusal:
            refusals.append(refusal)
    if refusals and len(refusals) == len(dimensions):
        raise refusals[0]


def _noted(words: TypedWords) -> dict[str, Quantity | str]:
    """The noted conditions, with quantities read."""
    found: dict[str, Quantity | str] = {
        name: quantity
        for name, dimension in _QUANTITIES.items()
        if (quantity := words.quantity(name, dimension, sized=True)) is not None
    }
    if (ambient := words.ambient()) is not None:
        found["ambient"] = ambient
    if (cleaned := words.text("cleaned").casefold()) not in ("", "before", "after"):
        raise Refused(
            "no-cleaned",
            f'"{cleaned}": flow is measured before or after cleaning',
            where="cleaned",
            hint="write before or after",
        )
    noted = {"fluid": words.text("fluid"), "session": words.text("session"), "at": words.measured_at()}
    return found | {name: text for name, text in noted.items() if text}


def _limit(spec: ReadingSpec, doubt: float) -> Limit:
    """The limit of a reading, in SI, and the factor by which it may be out."""
    time_s = parse_quantity(spec.name, "time").si if spec.form == "left after" else 0.0
    if spec.words:
        return Limit(spec, only=tuple(map(_valid_range, spec.at)))
    offset, factor = _scale(spec.unit)
    low, high = (None if value is None else offset + factor * value for value in (spec.low, spec.high))
    widest = (
        None if spec.low is None else offset + factor * spec.low / doubt,
        None if spec.high is None else offset + factor * spec.high * doubt,
    )
    return Limit(spec, low, high, factor, time_s, tuple(map(_valid_range, spec.at)), widest, doubt)


def _valid_range(at: OnlyAt) -> ValidRange:
    offset, factor = _scale(at.unit)
    return ValidRange(
        at.condition,
        offset + factor * at.low,
        offset + factor * at.high,
        f"{at.low:g} to {at.high:g} {at.unit}".strip(),
    )


def _scale(unit: str) -> tuple[float, float]:
    """Offset and factor from a unit on file to SI."""
    dimension = cast("Dimension", UNITS[unit])
    zero = parse_quantity(f"0{unit}", dimension).si
    return zero, parse_quantity(f"1{unit}", dimension).si - zero


def _read_one(
    text: str,
    words: TypedWords,
    limits: tuple[Limit, ...],
    noted: dict[str, Quantity | str],
    accuracy: _Accuracy,
    pins: PinList | None,
) -> ReadValue:
    """One typed reading, with its limit."""
    raw, value = split_reading(text)
    name, limit, time_s = _named_reading(raw, text, words, limits, pins)
    spec = limit.spec
    if spec.words:
        word = " ".join(value.casefold().split())
        if word not in spec.words:
            hint = f"one of: {', '.join(spec.words)}"
            raise Refused("no-such-word", f'"{text}": {name} cannot be "{value}"', where="reading", hint=hint)
        return ReadValue(name, limit, word=word)
    dimension = cast("Dimension", UNITS[spec.unit])
    over = noted.get("over")
    caught = _CAUGHT.get(dimension)
    if caught is not None and isinstance(over, Quantity) and not _parses_as(value, dimension):
        quantity = parse_quantity(value, caught, where="reading", default_unit=spec.unit.partition("/")[0])
        return _rate(name, limit, quantity, accuracy.half_width(quantity, caught), over.si)
    try:
        quantity = parse_quantity(value, dimension, where="reading", default_unit=_usual_unit(spec, dimension))
    except Refused as refusal:
        if dimension != "pressure" or refusal.code != "no-quantity":
            raise
        hint = f"write a pressure, e.g. {spec.low or spec.high or 2.0:g}{spec.unit}"
        raise Refused(refusal.code, refusal.message, where="reading", hint=hint) from None
    half_width = 0.0 if dimension == "count" else accuracy.half_width(quantity, dimension)
    if quantity.beyond:
        overrange = words.procedure.figures.get("overrange")
        at_least = quantity.si if quantity.unit else overrange.value if overrange else 0.0
        return ReadValue(name, limit, at_least, unit_si=1.0, text=quantity.typed, beyond=True)
    typed = (quantity.unit, quantity.unit_si, quantity.text)
    read = ReadValue(name, limit, quantity.si, half_width, *typed, time_s=time_s)
    leads = leads_of(words) if dimension == "resistance" else None
    return read if leads is None else _without_leads(read, leads, accuracy.half_width(leads, dimension))


def _usual_leads_ohm(words: TypedWords) -> float:
    """What a plain meter's leads have, if this procedure asks for theirs; else 0."""
    if "leads" not in words.procedure.beside:
        return 0.0
    return words.context.data.procedure("resistance").figures["usual_leads"].value


def _without_leads(read: ReadValue, leads: Quantity, half_width: float) -> ReadValue:
    """A resistance less that of the meter's leads, shown in its own unit; both may be out."""
    si, both = max(0.0, read.si - leads.si), math.hypot(read.half_width, half_width)
    text = shown(si / read.unit_si, (read.half_width or leads.step_si) / read.unit_si)
    return replace(read, si=si, half_width=both, text=text)


def _usual_unit(spec: ReadingSpec, dimension: Dimension) -> str:
    """The unit of a reading typed without one; none for a plain number, and for a pressure, which is read in many."""
    return "" if dimension in ("pressure", "count", "ratio") else spec.unit


def _parses_as(value: str, dimension: Dimension) -> bool:
    try:
        parse_quantity(value, dimension)
    except Refused:
        return False
    return True


def _rate(name: str, limit: Limit, quantity: Quantity, half_width: float, over_s: float) -> ReadValue:
    """A volume caught or drops counted over a time, as a rate in the unit on file."""
    si, step = quantity.si / over_s, quantity.step_si / over_s
    text = shown(si / limit.unit_si, step / limit.unit_si)
    return ReadValue(name, limit, si, half_width / over_s, limit.spec.unit, limit.unit_si, text)


def _named_reading(
    raw: str, text: str, words: TypedWords, limits: tuple[Limit, ...], pins: PinList | None
) -> tuple[str, Limit, float]:
    """The name of a reading, its limit, and the time in seconds of a "left after" reading (else 0)."""
    by_form = {limit.spec.form: limit for limit in limits}
    for limit in limits:
        if fold(limit.spec.name) == fold(raw) and limit.spec.form not in (*_PINS, "ratio"):
            return limit.spec.name, limit, limit.time_s
    if "left after" in by_form and raw[:1].isdigit():
        time = parse_quantity(raw, "time", where="reading")
        return time.spaced, by_form["left after"], time.si
    if by_form.keys() >= set(_PINS):
        return _pin(raw, text, by_form, pins)
    names = [limit.spec.name for limit in limits if limit.spec.form != "ratio"]
    raise Refused(
        "unknown-reading",
        f'"{text}": unknown reading "{raw}"',
        where="reading",
        hint=f"one of: {', '.join(names)}",
    )


def _pin(raw: str, text: str, by_form: dict[str, Limit], pins: PinList | None) -> tuple[str, Limit, float]:
    """The reading of one pin of a loom (7: through its wire) or of two (7-8, 7-case: between them)."""
    bare = raw.casefold().removeprefix("pins").removeprefix("pin").strip()
    ends = [end.strip() for end in bare.split("-")]
    known = None if pins is None else {pin.casefold() for pin in pins.pins} | {"case", "earth"}
    for end in ends:
        if not end or len(ends) > 2 or (known is not None and end not in known):
            hint = (
                "write one pin, e.g. 7, or two, e.g. 7-8"
                if pins is None
                else f"pins of {pins.number}: {', '.join(pins.pins)}"
            )
            raise Refused("no-such-pin", f'"{text}": unknown pin "{raw}"', where="reading", hint=hint)
    if len(ends) == 1:
        return f"pin {ends[0]}", by_form["each pin"], 0.0
    return f"pins {ends[0]} to {ends[1]}", by_form["between pins"], 0.0


def _pins_not_read(pins: PinList | None, found: list[ReadValue]) -> tuple[str, ...] | None:
    """The pins of the list whose wire was not measured; None without a list."""
    if pins is None:
        return None
    read_already = {each.name for each in found}
    return tuple(f"pin {pin} ({to})" for pin, to in pins.pins.items() if f"pin {pin.casefold()}" not in read_already)
