"""Reads instruments: their descriptions and calibrations, the instrument of a run, the doubtful runs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments.calibration import Calibrated, correction_line, doubt_of, in_force, out_of_date
from inventory.bench.load_things import measured_things
from inventory.bench.tables import BenchRun, Calibration, Instrument, InstrumentDescription
from inventory.bench.typed_run import InstrumentUsed
from inventory.errors import Refused, UnknownName, did_you_mean
from inventory.facts.views import FactView, facts_of, facts_of_many
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.words.names import nearest
from inventory.store.words.text import fold

__all__ = [
    "BETWEEN",
    "DoubtfulRun",
    "InstrumentView",
    "Instruments",
    "doubtful_runs",
    "instrument_key",
    "instrument_keys",
    "instrument_named",
    "instruments",
    "refuse_unknown_instrument",
]

BETWEEN = "; "
_DESCRIBED = ("specification", "dial_unit", "resolution", "due")


@dataclass(frozen=True)
class InstrumentView:
    """An instrument as described now, with its calibrations, oldest first.

    `due` is the day until which it is in date (None: no day was set); `stands` says in words whether it is today.
    """

    id: int
    name: str
    what: str | None
    specification: str | None
    dial_unit: str | None
    resolution: str | None
    due: str | None
    stands: str
    calibrations: tuple[FactView, ...]

    def as_dict(self) -> dict[str, Any]:
        """The object that stands in JSON."""
        plain = {name: value for name, value in vars(self).items() if name not in ("id", "calibrations")}
        return {**plain, "calibrations": [each.as_dict() for each in self.calibrations]}


class RunNaming(Protocol):
    """A run that may name an instrument."""

    @property
    def counts_from(self) -> str:
        """The ISO day that it counts from."""

    @property
    def values(self) -> Mapping[str, Any]:
        """Its conditions, among them the instrument."""


class Instruments:
    """All instruments in one state of the record, read once, for the runs that name them."""

    def __init__(self, session: Session, when: AsOf = NOW) -> None:
        self._session, self._when = session, when
        self._read: tuple[dict[str, int], dict[int, list[Any]], dict[int, list[Calibrated]]] | None = None

    def of(self, run: RunNaming) -> InstrumentUsed | None:
        """The instrument of one run; None if it names none."""
        return self.named(str(run.values["conditions"].get("instrument") or ""), run.counts_from)

    def named(self, name: str, day: str) -> InstrumentUsed | None:
        """An instrument by its name, as it was on an ISO day; None for an empty name."""
        if not name.strip():
            return None
        instrument_keys, descriptions, calibrations = self._all()
        key = instrument_keys.get(fold(name))
        if key is None:
            return InstrumentUsed(name, missing=f'no instrument "{name}" is on record')
        described = _described_on(descriptions[key], day)
        done = calibrations[key]
        doubt, doubted_by = doubt_of(done, day)
        last = in_force(done, day)
        points = next((each.points for each in reversed(done) if each.day <= day and each.points), ())
        dimension, line = correction_line(points) if points else (None, None)
        return InstrumentUsed(
            name=name,
            specification=described.get("specification", ""),
            resolution=described.get("resolution", ""),
            corrects=dimension,
            line=line,
            due=out_of_date(done, described.get("due"), day),
            doubt=doubt,
            facts=doubted_by or ((last.fact,) if last else ()),
            dial_unit=described.get("dial_unit", ""),
        )

    def doubts(self, key: int, day: str) -> str:
        """Why a run of that day with this instrument is doubtful; empty if it is not."""
        return doubt_of(self._all()[2][key], day)[0]

    def _all(self) -> tuple[dict[str, int], dict[int, list[Any]], dict[int, list[Calibrated]]]:
        if self._read is None:
            descriptions: dict[int, list[Any]] = defaultdict(list)
            told = as_of(select(InstrumentDescription), InstrumentDescription, self._when.of_any_day)
            for row in self._session.scalars(told):
                descriptions[row.thing_id].append(row)
            calibrations: dict[int, list[Calibrated]] = defaultdict(list)
            for done in self._session.scalars(as_of(select(Calibration), Calibration, self._when)):
                calibrations[done.thing_id].append(calibrated(done))
            self._read = (instrument_keys(self._session), descriptions, calibrations)
        return self._read


def calibrated(row: Calibration) -> Calibrated:
    """A row of a calibration as the pure rules take it."""
    points = tuple(row.points.split(BETWEEN)) if row.points else ()
    return Calibrated(row.counts_from, row.result, row.due, points, fact_id(Calibration, row.id))


def instruments(session: Session) -> list[InstrumentView]:
    """All instruments, by name."""
    rows = session.scalars(select(Instrument).order_by(Instrument.name_folded)).all()
    now = today_in(session).isoformat()
    return [_view(session, row, now) for row in rows]


def instrument_named(session: Session, name: str) -> InstrumentView:
    """The instrument that has or had this name. Raises `UnknownName`, with near names, if there is none."""
    key = instrument_key(session, name)
    if key is None:
        known = [each or "" for each in session.scalars(select(Instrument.name))]
        raise UnknownName("instrument", name, nearest(name, known), where="instrument")
    return _view(session, session.get_one(Instrument, key), today_in(session).isoformat())


def instrument_key(session: Session, name: str) -> int | None:
    """The key of the instrument that has or ever had this name: old runs keep the old name."""
    return instrument_keys(session).get(fold(name))


def refuse_unknown_instrument(session: Session, name: object) -> None:
    """Refuse a run that names an instrument which is not on record."""
    if name and instrument_key(session, str(name)) is None:
        known = [each or "" for each in session.scalars(select(Instrument.name))]
        near = nearest(str(name), known)
        hint = did_you_mean(near) if near else "add it first: matchmark instrument add NAME"
        raise Refused("unknown-instrument", f'unknown instrument "{name}"', where="instrument", hint=hint)


def instrument_keys(session: Session) -> dict[str, int]:
    """Every folded name that an instrument has or had, with its key."""
    query = select(InstrumentDescription.name, InstrumentDescription.thing_id)
    told = {fold(row.name): row.thing_id for row in session.execute(query) if row.name}
    return told | {row.name_folded: row.id for row in session.execute(select(Instrument.id, Instrument.name_folded))}


def _described_on(descriptions: list[Any], day: str) -> dict[str, str]:
    """The last description of an instrument by a day, else the first one after it, value by value."""
    described: dict[str, str] = {}
    for name in _DESCRIBED:
        values = [(row.counts_from <= day, getattr(row, name)) for row in descriptions if getattr(row, name)]
        by_then = [value for so, value in values if so]
        if values:
            described[name] = by_then[-1] if by_then else values[0][1]
    return described


def _view(session: Session, row: Instrument, now: str) -> InstrumentView:
    done = facts_of(session, row.id, (Calibration,))
    rows = list(session.scalars(as_of(select(Calibration).where(Calibration.thing_id == row.id), Calibration)))
    told = [calibrated(each) for each in rows]
    last = in_force(told, now)
    due = last.due if last is not None else row.due
    if last is not None and last.result == "failed":
        stands = f"did not pass its calibration of {last.day}: do not rely on it"
    elif due is None:
        stands = "no day is set for its calibration"
    else:
        stands = f"out of date since {due}" if due < now else f"in date until {due}"
    return InstrumentView(
        row.id,
        row.name or "",
        row.what,
        row.specification,
        row.dial_unit,
        row.resolution,
        due,
        stands,
        tuple(done),
    )


@dataclass(frozen=True)
class DoubtfulRun:
    """A run that an instrument's calibration makes doubtful: the tag of the part or name of the car, and why."""

    tag: str
    run: FactView
    why: str

    def as_dict(self) -> dict[str, str]:
        """The object that stands in JSON."""
        procedure = str(self.run.values["procedure"])
        return {"tag": self.tag, "run": self.run.id, "on": self.run.on, "procedure": procedure, "why": self.why}


def doubtful_runs(session: Session, name: str) -> list[DoubtfulRun]:
    """The runs with an instrument that its calibrations make doubtful, oldest first."""
    key = instrument_named(session, name).id
    names = {folded for folded, each in instrument_keys(session).items() if each == key}
    query = as_of(select(BenchRun.thing_id).where(BenchRun.conditions.like('%"instrument":%')), BenchRun)
    parts = list(dict.fromkeys(session.scalars(query)))
    shown = {key: thing.shown for key, thing in measured_things(session, parts).items()}
    known = Instruments(session)
    found = []
    for part, runs in facts_of_many(session, parts, (BenchRun,)).items():
        for run in runs:
            used = fold(str(run.values["conditions"].get("instrument") or ""))
            if used in names and (why := known.doubts(key, run.counts_from)):
                found.append(DoubtfulRun(shown.get(part, ""), run, why))
    return sorted(found, key=lambda each: (each.run.counts_from, each.run.ranked))
