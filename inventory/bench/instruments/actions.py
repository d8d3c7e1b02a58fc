"""Entering an instrument, writing down a calibration."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments.calibration import FAILED, NOT_PASSED, PASSED, RESULTS, correction_line, dimension_of
from inventory.bench.instruments.instrument_defaults import fits
from inventory.bench.instruments.queries import BETWEEN, instrument_key, instrument_named
from inventory.bench.quantities.readings import parse_meter
from inventory.bench.quantities.units import Dimension
from inventory.bench.tables import Calibration, Instrument, InstrumentDescription
from inventory.documents.actions import take_in
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.people.actions import begin_act
from inventory.store.days.dates import parse_when, when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base
from inventory.store.words.text import clean, fold, short_enough

__all__ = ["add_instrument", "calibrate", "checked_calibration", "checked_instrument"]

_COLUMNS = ("name", "what", "specification", "dial_unit", "resolution", "due")


def add_instrument(session: Session, by: str, name: str, *, on: str | None = None, **details: str | None) -> str:
    """Enter an instrument (`details`: what, specification, dial_unit, resolution, due). Gives the fact's id."""
    values = checked_instrument(session, None, {"name": name, **details})
    act = begin_act(session, "instrument add", by)
    when = when_on(on, act.today)
    (thing,) = new_things(session, "instrument")
    told = make_fact(InstrumentDescription, act, thing.id, when, **values)
    row = Instrument(id=thing.id, name_folded=fold(str(values["name"])), **values)
    write(session, act, [thing, row, told])
    return fact_id(InstrumentDescription, told.id)


def calibrate(
    session: Session,
    by: str,
    name: str,
    result: str,
    *,
    due: str | None = None,
    points: Sequence[str] = (),
    paper: Path | None = None,
    on: str | None = None,
) -> str:
    """Write down the result of a calibration (passed, failed) and its correction points. Return the fact's id."""
    view = instrument_named(session, name)
    given = {"result": result, "due": due, "points": BETWEEN.join(clean(each) for each in points) or None}
    values = checked_calibration(given)
    act = begin_act(session, "instrument calibrate", by, view.id)
    when = when_on(on, act.today)
    rows: list[Base] = []
    if paper is not None:
        values["document_id"], rows = take_in(session, act, view.id, paper, shows="paper", when=when)
    fact = make_fact(Calibration, act, view.id, when, how_known="from a paper" if paper else "seen", **values)
    write(session, act, [*rows, fact])
    return fact_id(Calibration, fact.id)


def checked_instrument(session: Session, own: int | None, given: Mapping[str, str | None]) -> dict[str, Any]:
    """The values of an instrument, cleaned and checked; `own` is its key if it is on record."""
    values: dict[str, Any] = {name: clean(given.get(name) or "") or None for name in _COLUMNS}
    name = short_enough("name of the instrument", values["name"] or "")
    if not fold(name):
        raise Refused("instrument-without-name", "An instrument needs a name")
    known = instrument_key(session, name)
    if known is not None and known != own:
        bears = session.scalar(select(Instrument.name).where(Instrument.id == known))
        raise Refused(
            "instrument-known",
            f'The instrument "{bears}" is, or was, called "{name}"',
            hint="choose a name that no instrument has had: runs keep the name they were made with",
        )
    if values["dial_unit"] and dimension_of(f"1 {values['dial_unit']}") is None:
        hint = "write it as after a reading, e.g. cmHg or ohm"
        raise Refused("no-such-unit", f'"{values["dial_unit"]}" is not a unit', where="dial unit", hint=hint)
    if values["resolution"] and dimension_of(values["resolution"]) is None:
        hint = "write the smallest step that can be read, e.g. 1cmHg"
        raise Refused("no-resolution", f'"{values["resolution"]}" is not a resolution', where="resolution", hint=hint)
    _refuse_no_accuracy(values)
    values["due"] = _day(values["due"])
    return values


def _refuse_no_accuracy(values: Mapping[str, Any]) -> None:
    """Refuse a specification that fits no quantity the instrument can measure."""
    if not (text := values["specification"]):
        return
    shown = dimension_of(f"1 {values['dial_unit']}") if values["dial_unit"] else None
    parse_meter(text, shown or _fitting(text), where="specification")


def _fitting(text: str) -> Dimension:
    """The first quantity that a specification can be for."""
    every: tuple[Dimension, ...] = get_args(Dimension)
    return next((each for each in every if fits(text, each)), "resistance")


def checked_calibration(given: Mapping[str, Any]) -> dict[str, Any]:
    """The values of a calibration, checked."""
    values = dict(given)
    said = clean(values["result"] or "").casefold()
    values["result"] = FAILED if said == NOT_PASSED else said
    if values["result"] not in RESULTS:
        says = f'"{said}" is not a result of a calibration'
        raise Refused("no-result", says, where="result", hint=f"write {PASSED} or {NOT_PASSED}")
    values["due"] = _day(values["due"])
    if values["points"]:
        points = [clean(each) for each in values["points"].split(BETWEEN.strip()) if clean(each)]
        correction_line(points)
        values["points"] = BETWEEN.join(points)
    return values


def _day(text: str | None) -> str | None:
    """The last day that a typed due date may mean."""
    return parse_when(text).latest.isoformat() if text and text.strip() else None
