"""The kinds of fact of the bench: a run on a part or a car, an instrument, its calibration.

What checks them is imported when one is checked: every command has all kinds of facts, few have a run to judge.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.conditions import CONDITIONS, Condition
from inventory.bench.tables import BenchRun, Calibration, Instrument, InstrumentDescription
from inventory.errors import Refused
from inventory.facts.declare import Cell, FactDraft, FactKind, Section, Sheet, ThingKind, Value, Values, one_by_one
from inventory.facts.descriptions import latest_values, only_description
from inventory.facts.values import named, text
from inventory.store.journal.entries import canonical
from inventory.store.many import among
from inventory.store.words.text import clean

__all__ = ["FACTS", "THINGS"]

_BETWEEN = "; "


def _several(said: str) -> list[str]:
    return [clean(each) for each in said.split(";") if clean(each)]


def _name_of(reading: str) -> str:
    return reading.partition("=")[0].strip().casefold()


def _procedure(said: str, cell: Cell) -> dict[str, Any]:
    return {"procedure": cell.reference.procedure(said).name if clean(said) else None}


def _all_readings(said: str, _cell: Cell) -> dict[str, Any]:
    return {"readings": _several(said)}


def _shown_readings(values: Values) -> str:
    return _BETWEEN.join(map(str, values.get("readings") or ()))


def _condition(each: Condition) -> Value:
    """The value for one condition of a run; a list of readings is one text with semicolons."""
    name, several = each.name, each.form == "readings"

    def read(said: str, _cell: Cell) -> dict[str, Any]:
        return {"conditions": {name: (_several(said) if several else clean(said)) or None}}

    def show(values: Values) -> str:
        noted = (values.get("conditions") or {}).get(name)
        return _BETWEEN.join(map(str, noted)) if isinstance(noted, list) else str(noted or "")

    return Value(name, read, show, lambda one, other: show(one) == show(other), (), help=each.help)


def _readings_of(values: Values) -> tuple[Value, ...]:
    """One value for each reading of a run, so that each can be corrected alone."""
    readings = [str(each) for each in values.get("readings") or ()]
    return tuple(_reading(name, readings) for name in dict.fromkeys(map(_name_of, readings)))


def _reading(name: str, readings: Sequence[str]) -> Value:
    places = [place for place, each in enumerate(readings) if _name_of(each) == name]

    def read(said: str, _cell: Cell) -> dict[str, Any]:
        values = _several(said) or [""]
        if len(places) > 1 and len(values) != len(places):
            raise Refused(
                "read-twice",
                f'This run has "{name}" {"twice" if len(places) == 2 else f"{len(places)} times"}',
                where=name,
                hint="give each of them, in their order, separated by semicolons",
            )
        spelled = [readings[place].partition("=")[0].strip() for place in places]
        if len(places) == 1:
            repeats = [f"{spelled[0]}={value}" for value in values]
            return {"readings": [*readings[: places[0]], *repeats, *readings[places[0] + 1 :]]}
        new = {place: f"{each}={value}" for place, each, value in zip(places, spelled, values, strict=True)}
        return {"readings": [new.get(place, each) for place, each in enumerate(readings)]}

    def show(values: Values) -> str:
        found = (str(each) for each in values.get("readings") or () if _name_of(str(each)) == name)
        return _BETWEEN.join(each.partition("=")[2].strip() for each in found)

    return Value(name, read, show, lambda one, other: show(one) == show(other), ())


def _validate_runs(session: Session, every: Sequence[FactDraft]) -> None:
    """Refuse the runs that the bench would refuse."""
    from inventory.bench.instruments.queries import refuse_unknown_instrument
    from inventory.bench.judgements import check
    from inventory.bench.load_things import MeasuredThing
    from inventory.bench.runs.load_contexts import UnsavedRun, contexts
    from inventory.bench.typed_run import TypedRun

    runs = []
    for draft in every:
        columns = draft.columns
        values = {
            "procedure": columns["procedure"] or "",
            "readings": json.loads(columns["readings"] or "[]"),
            "conditions": {name: value for name, value in json.loads(columns["conditions"] or "{}").items() if value},
        }
        columns["conditions"] = canonical(values["conditions"])
        runs.append(UnsavedRun(draft.thing_id, draft.on, draft.counts_from, values))
    things = {
        draft.thing_id: MeasuredThing(
            draft.thing_id, draft.thing["tag"], draft.thing["kind"] or "other", draft.thing["part_number"] or ""
        )
        for draft in every
        if draft.thing is not None
    }
    made = contexts(session, runs, with_references=False, things=things)
    for draft, run, context in zip(every, runs, made, strict=True):
        try:
            if context.instrument is not None and context.instrument.missing:
                refuse_unknown_instrument(session, context.instrument.name)
            check(TypedRun.of(run.values), context)
        except Refused as refusal:
            draft.refused = refusal


def _validate_instrument(session: Session, draft: FactDraft) -> None:
    from inventory.bench.instruments.actions import checked_instrument

    draft.columns.update(checked_instrument(session, draft.thing_id, draft.columns))


def _validate_calibration(_session: Session, draft: FactDraft) -> None:
    from inventory.bench.instruments.actions import checked_calibration

    draft.columns.update(checked_calibration(draft.columns))


def _instrument_says(values: Values) -> str:
    return "  ".join(str(values[name]) for name in ("name", "what", "specification") if values.get(name))


FACTS = (
    FactKind(
        BenchRun,
        "run",
        ("part", "car"),
        (
            Value(
                "procedure",
                _procedure,
                lambda values: str(values.get("procedure") or ""),
                lambda one, other: one.get("procedure") == other.get("procedure"),
                ("resistance",),
                needed=True,
            ),
            Value(
                "readings",
                _all_readings,
                _shown_readings,
                lambda one, other: _shown_readings(one) == _shown_readings(other),
                ("primary=94.1ohm; secondary=361ohm",),
                needed=True,
            ),
            *map(_condition, CONDITIONS),
        ),
        more_values=_readings_of,
        validate=_validate_runs,
        says=lambda values: f"{values['procedure']}: {', '.join(map(str, values['readings']))}",
        section=Section("runs", "Measured", "Measured"),
        sheet=Sheet(
            "runs",
            ("procedure", "readings", *(each.name for each in CONDITIONS), "on", "how known", "seen by", "seen on"),
            frozenset({"procedure", "readings"}),
            {"readings": ""},  # a blank of the rig alone has none
            looked="measured",
        ),
        seen_how=lambda fact: f"test: {fact.procedure}",
        how_known="measured",
        travels="as such",
    ),
    FactKind(
        InstrumentDescription,
        "instrument",
        ("instrument",),
        (
            text("name", "vacuum gauge", short=True),
            text("what", "dial gauge"),
            text("specification", "1.6%"),
            text("dial unit", "cmHg"),
            text("resolution", "1cmHg"),
            text("due", "2027-03-01"),
        ),
        validate=one_by_one(_validate_instrument),
        says=_instrument_says,
        row_input="descriptions",
        only_names=only_description(InstrumentDescription),
    ),
    FactKind(
        Calibration,
        "calibration",
        ("instrument",),
        (
            text("result", "passed", needed=True),
            text("due", "2027-03-01"),
            text("points", "10cmHg=10.2cmHg; 30cmHg=30.4cmHg; 50cmHg=50.7cmHg"),
            named("document", "document"),
        ),
        validate=one_by_one(_validate_calibration),
        says=lambda values: f"calibrated: {'passed' if values['result'] == 'passed' else 'did not pass'}",
    ),
)
"""Facts about runs, instruments and calibrations."""


def _find(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    from inventory.bench.instruments.queries import instrument_named

    return instrument_named(session, typed).id


def _names(session: Session, keys: Iterable[int]) -> dict[int, str]:
    rows = session.execute(select(Instrument.id, Instrument.name).where(among(Instrument.id, keys)))
    return {key: name or "" for key, name in rows}


THINGS = (
    ThingKind(
        "instrument",
        Instrument,
        _find,
        _names,
        latest_values("name", "what", "specification", "dial_unit", "resolution", "due"),
    ),
)
"""Instruments."""
