"""Reading instruments: what is known of each, what a run takes from the one it names, which runs are doubtful."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments.calibration import Calibrated, doubt_of, in_force, line_of, out_of_date
from inventory.bench.load_things import measured_of
from inventory.bench.tables import BenchRun, Calibration, Instrument, InstrumentDescription
from inventory.bench.typed_run import InstrumentUsed
from inventory.errors import Refused, UnknownName, did_you_mean
from inventory.facts.views import FactView, facts_of, facts_of_many
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.names import nearest
from inventory.store.text import fold
from inventory.store.zone import today_in

__all__ = [
    "BETWEEN",
    "DoubtfulRun",
    "InstrumentView",
    "Instruments",
    "bearer",
    "bearers",
    "doubtful_runs",
    "instrument_named",
    "instruments",
    "refuse_unknown_instrument",
]

BETWEEN = "; "
_TOLD = ("specification", "resolution", "due")


@dataclass(frozen=True)
class InstrumentView:
    """An instrument as described now, with its calibrations, oldest first, and how it stands today.

    `due` is until when it is in date (None: no day was set); `stands` says in words whether it is.
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
    """A run as far as it names an instrument."""

    @property
    def counts_from(self) -> str:
        """The ISO day that it counts from."""

    @property
    def values(self) -> Mapping[str, Any]:
        """Its conditions, among them the instrument."""


class Instruments:
    """What runs take from the instruments they name, all read once, in one state of the record."""

    def __init__(self, session: Session, when: AsOf = NOW) -> None:
        self._session, self._when = session, when
        self._read: tuple[dict[str, int], dict[int, list[Any]], dict[int, list[Calibrated]]] | None = None

    def of(self, run: RunNaming) -> InstrumentUsed | None:
        """The instrument of one run; None where it names none."""
        return self.named(str(run.values["conditions"].get("instrument") or ""), run.counts_from)

    def named(self, name: str, day: str) -> InstrumentUsed | None:
        """An instrument as it was on an ISO day, by the name that a run of that day gives; None for no name."""
        if not name.strip():
            return None
        bearers, descriptions, calibrations = self._all()
        key = bearers.get(fold(name))
        if key is None:
            return InstrumentUsed(name, missing=f'no instrument "{name}" is on record')
        said = _said(descriptions[key], day)
        done = calibrations[key]
        doubt, doubted_by = doubt_of(done, day)
        last = in_force(done, day)
        points = next((each.points for each in reversed(done) if each.day <= day and each.points), ())
        dimension, line = line_of(points) if points else (None, None)
        return InstrumentUsed(
            name=name,
            specification=said.get("specification", ""),
            resolution=said.get("resolution", ""),
            corrects=dimension,
            line=line,
            due=out_of_date(done, said.get("due"), day),
            doubt=doubt,
            facts=doubted_by or ((last.fact,) if last else ()),
        )

    def doubts(self, key: int, day: str) -> str:
        """Why a run of that day, made with an instrument, is doubtful; empty where nothing speaks against it."""
        return doubt_of(self._all()[2][key], day)[0]

    def _all(self) -> tuple[dict[str, int], dict[int, list[Any]], dict[int, list[Calibrated]]]:
        if self._read is None:
            descriptions: dict[int, list[Any]] = defaultdict(list)
            told = as_of(select(InstrumentDescription), InstrumentDescription, AsOf(None, self._when.known_on))
            for row in self._session.scalars(told):
                descriptions[row.thing_id].append(row)
            calibrations: dict[int, list[Calibrated]] = defaultdict(list)
            for done in self._session.scalars(as_of(select(Calibration), Calibration, self._when)):
                calibrations[done.thing_id].append(calibrated(done))
            self._read = (bearers(self._session), descriptions, calibrations)
        return self._read


def calibrated(row: Calibration) -> Calibrated:
    """A row of a calibration as it is judged."""
    points = tuple(row.points.split(BETWEEN)) if row.points else ()
    return Calibrated(row.counts_from, row.result, row.due, points, fact_id(Calibration, row.id))


def instruments(session: Session) -> list[InstrumentView]:
    """All instruments, by name."""
    rows = session.scalars(select(Instrument).order_by(Instrument.name_folded)).all()
    now = today_in(session).isoformat()
    return [_view(session, row, now) for row in rows]


def instrument_named(session: Session, name: str) -> InstrumentView:
    """The instrument that bears or bore a name, compared folded; refused, with near names, where there is none."""
    key = bearer(session, name)
    if key is None:
        known = [each or "" for each in session.scalars(select(Instrument.name))]
        raise UnknownName("instrument", name, nearest(name, known), where="instrument")
    return _view(session, session.get_one(Instrument, key), today_in(session).isoformat())


def bearer(session: Session, name: str) -> int | None:
    """The key of the instrument that bears a name or ever bore it: old runs go on naming it so."""
    return bearers(session).get(fold(name))


def refuse_unknown_instrument(session: Session, name: object) -> None:
    """Refuse a run that names an instrument which is not on record."""
    if name and bearer(session, str(name)) is None:
        known = [each or "" for each in session.scalars(select(Instrument.name))]
        near = nearest(str(name), known)
        hint = did_you_mean(near) if near else "add it first: matchmark instrument add NAME"
        raise Refused("unknown-instrument", f'unknown instrument "{name}"', where="instrument", hint=hint)


def bearers(session: Session) -> dict[str, int]:
    """Every name, folded, that an instrument bears or bore, with its key."""
    query = select(InstrumentDescription.name, InstrumentDescription.thing_id)
    told = {fold(row.name): row.thing_id for row in session.execute(query) if row.name}
    return told | {row.name_folded: row.id for row in session.execute(select(Instrument.id, Instrument.name_folded))}


def _said(descriptions: list[Any], day: str) -> dict[str, str]:
    """What was last said of an instrument by a day, else what was first said of it after."""
    said: dict[str, str] = {}
    for name in _TOLD:
        values = [(row.counts_from <= day, getattr(row, name)) for row in descriptions if getattr(row, name)]
        by_then = [value for so, value in values if so]
        if values:
            said[name] = by_then[-1] if by_then else values[0][1]
    return said


def _view(session: Session, row: Instrument, now: str) -> InstrumentView:
    done = facts_of(session, row.id, (Calibration,))
    rows = list(session.scalars(as_of(select(Calibration).where(Calibration.thing_id == row.id), Calibration)))
    told = [calibrated(each) for each in rows]
    last = in_force(told, now)
    due = last.due if last is not None else row.due
    if last is not None and last.result == "failed":
        stands = f"did not pass its calibration of {last.day}: not to be relied on"
    elif due is None:
        stands = "no day is set by which it is to be calibrated"
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
    """A run that an instrument's calibration makes doubtful: on which part or car (its tag or name), and why."""

    tag: str
    run: FactView
    why: str

    def as_dict(self) -> dict[str, str]:
        """The object that stands in JSON."""
        procedure = str(self.run.values["procedure"])
        return {"tag": self.tag, "run": self.run.id, "on": self.run.on, "procedure": procedure, "why": self.why}


def doubtful_runs(session: Session, name: str) -> list[DoubtfulRun]:
    """The runs made with an instrument that its calibrations make doubtful, oldest first."""
    key = instrument_named(session, name).id
    names = {folded for folded, each in bearers(session).items() if each == key}
    query = as_of(select(BenchRun.thing_id).where(BenchRun.conditions.like('%"instrument":%')), BenchRun)
    parts = list(dict.fromkeys(session.scalars(query)))
    shown = {key: thing.shown for key, thing in measured_of(session, parts).items()}
    known = Instruments(session)
    found = []
    for part, runs in facts_of_many(session, parts, (BenchRun,)).items():
        for run in runs:
            used = fold(str(run.values["conditions"].get("instrument") or ""))
            if used in names and (why := known.doubts(key, run.counts_from)):
                found.append(DoubtfulRun(shown.get(part, ""), run, why))
    return sorted(found, key=lambda each: (each.run.counts_from, each.run.ranked))
