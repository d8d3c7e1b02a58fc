"""Reads pairs from the record: candidates for a part, all pairs, the plan of a shelf, and which numbers fit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session, aliased

from inventory.cars.queries import car_named
from inventory.errors import Refused
from inventory.pairing.actions import refuse_gone
from inventory.pairing.candidate import PAIRED_KINDS, SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.every_pair import FEW, EveryPair, every_pair
from inventory.pairing.findings.codes import reading
from inventory.pairing.findings.fit import FitRow, Fits, Supersession
from inventory.pairing.findings.likeness import Grades, likeness
from inventory.pairing.judgements import PairJudgement, candidates, refuse_unpaired
from inventory.pairing.load import Scope, load_candidates
from inventory.pairing.load_in_house import IN_HOUSE, perhaps_in_house
from inventory.pairing.plan.shelf_plan import Plan, plan
from inventory.parts.judgements import AWAY
from inventory.parts.queries import part_row
from inventory.parts.tables import Fit, Part, PartNumber
from inventory.places.queries import place_named
from inventory.reference.data import reference_of
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among, among_sql

__all__ = [
    "FEW",
    "GoesWith",
    "all_pairs",
    "fit_rows",
    "fits_on_record",
    "goes_with",
    "mates",
    "shelf_plan",
    "why_no_mate",
]

_WHY_RULED_OUT = "To see why: --all"
_FITS = """
SELECT fact.id, sensor.squeezed, unit.squeezed, fact.fits FROM fit AS fact
JOIN part_number AS sensor ON sensor.id = fact.thing_id JOIN part_number AS unit ON unit.id = fact.unit_number_id
WHERE {stood} ORDER BY fact.counts_from, fact.ranked, fact.id
"""
_REPLACED = """
SELECT fact.id, old.squeezed, new.squeezed FROM supersession AS fact
JOIN part_number AS old ON old.id = fact.thing_id JOIN part_number AS new ON new.id = fact.by_number_id
WHERE {stood} ORDER BY fact.counts_from, fact.ranked, fact.id
"""


def fits_on_record(session: Session, when: AsOf = NOW) -> Fits:
    """Which part numbers fit, by all facts known in a state of the record, whatever day they are about."""
    known = when.of_any_day
    stood, given = known.sql("fact"), known.parameters
    fits = [
        FitRow(sensor, unit, fact_id(Fit, key), word == "yes")
        for key, sensor, unit, word in fetch_all(session, _FITS.format(stood=stood), given)
    ]
    replaced = [
        Supersession(old, new, fact_id("supersession", key))
        for key, old, new in fetch_all(session, _REPLACED.format(stood=stood), given)
    ]
    written = {squeezed: number for squeezed, number in fetch_all(session, "SELECT squeezed, written FROM part_number")}  # noqa: C416
    return Fits.of(fits, replaced, written)


def fit_rows(session: Session) -> list[dict[str, Any]]:
    """The known fits as written, for lists and sheets; `conflicts` names the contradicting facts."""
    sensor, unit = aliased(PartNumber), aliased(PartNumber)
    query = as_of(select(Fit), Fit).join(sensor, sensor.id == Fit.thing_id).join(unit, unit.id == Fit.unit_number_id)
    contrary = {
        row.fact: [other.fact for other in rows if other.fits != row.fits]
        for rows in fits_on_record(session).conflicts()
        for row in rows
    }
    return [
        {
            "fact": fact_id(Fit, fact.id),
            "sensor_number": ours,
            "unit_number": theirs,
            "fits": fact.fits == "yes",
            "on": fact.so_from,
            "conflicts": contrary.get(fact_id(Fit, fact.id), []),
        }
        for fact, ours, theirs in session.execute(query.add_columns(sensor.written, unit.written))
    ]


def mates(
    session: Session,
    tag: str,
    *,
    car: str | None = None,
    kind: str | None = None,
    include_ruled_out: bool = False,
) -> list[PairJudgement]:
    """The possible mates of one part among the parts in the house, best first.

    `car`: only mates that are, or were last, on that car. `kind`: the kind of the mates; raises `Refused` for the
    part's own kind.
    """
    part = part_row(session, tag)
    if kind is not None and reference_of(session).kind(kind).name == part.kind:
        raise Refused("not-a-pair", f"{part.tag} is itself a {part.kind}", hint="leave --kind out")
    if kind is not None and reference_of(session).kind(kind).name not in PAIRED_KINDS:
        refuse_unpaired(Candidate("", reference_of(session).kind(kind).name, "", "", 0.0), SENSOR_KIND)
    fits = fits_on_record(session)
    if part.kind not in PAIRED_KINDS:
        return list(candidates(Candidate(part.tag, part.kind or "other", "", "", 0.0), [], fits))
    (one,) = load_candidates(session, Scope("part.id = :id", {"id": part.id}))
    other = UNIT_KIND if part.kind == SENSOR_KIND else SENSOR_KIND
    house = perhaps_in_house(session)
    where = f"{house.condition} AND part.kind = :other AND part.id <> :id"
    given = {**house.parameters, "other": other, "id": part.id}
    if not include_ruled_out:  # a number that cannot fit rules a pair out, whatever else is on record
        numbers = _numbers_that_may_fit(session, one.part_number_squeezed, other, fits)
        among, keys = among_sql(session, "numbers", ["", *numbers])  # of an empty list the type is not known
        where, given = (
            f"{where} AND (part.part_number_squeezed {among} OR part.part_number_squeezed IS NULL)",
            given | keys,
        )
    if car is not None:
        where, given = f"{where} AND part.car_id = :car", given | {"car": car_named(session, car).id}
    exclude = None if include_ruled_out or one.kind != SENSOR_KIND else _ruled_out_by_columns(one, fits)
    found = candidates(
        one, load_candidates(session, Scope(where, given), exclude=exclude), fits, include_ruled_out=include_ruled_out
    )
    return list(found)


def why_no_mate(session: Session, tag: str) -> tuple[str, str]:
    """Why a part has no mate on record; and what to do about it by command, "" if no command helps."""
    part = part_row(session, tag)
    fits, other = fits_on_record(session), UNIT_KIND if part.kind == SENSOR_KIND else SENSOR_KIND
    numbers = _numbers_that_may_fit(session, part.part_number_squeezed or "", other, fits)
    may_fit = or_(among(Part.part_number_squeezed, numbers), Part.part_number_squeezed.is_(None))
    kept = select(Part.tag).where(Part.gone.is_(None), Part.kind == other, may_fit)
    many = len(session.scalars(kept).all())
    if not part.part_number_squeezed:
        why = f"all {many} in the house are ruled out by letter or paper" if many else f"no {other} in the house"
        says = f"No mate on record: {why}. Its own part number is not on record: read it on {part.tag}"
        return says, _WHY_RULED_OUT if many else ""
    if many and fits.knows(part.part_number_squeezed):
        return f"No mate on record: {many} fit by number, all ruled out by letter or paper", _WHY_RULED_OUT
    if many:
        return (
            f"No mate on record: nothing is on record about which numbers fit {part.part_number}, "
            f"and the {many} that might are ruled out by letter or paper"
        ), _WHY_RULED_OUT
    if fits.knows(part.part_number_squeezed):
        return f"No mate on record: no part in the house has a number that fits {part.part_number}", ""
    return (
        f"No mate on record: it is not recorded which numbers fit {part.part_number}",
        "If a list gives them: matchmark fits add SENSOR_NUMBER UNIT_NUMBER",
    )


def _numbers_that_may_fit(session: Session, number: str, kind: str, fits: Fits) -> list[str]:
    """The squeezed numbers of a kind that fit one; if nothing is on record of it, those also without a row."""
    if fits.knows(number):
        return sorted(fits.mates_of(number))
    query = select(Part.part_number_squeezed).where(Part.gone.is_(None), Part.kind == kind).distinct()
    return sorted(other for other in session.scalars(query) if other and fits.judge(number, other).unknown)


def _ruled_out_by_columns(sensor: Candidate, fits: Fits) -> Callable[[Candidate], bool] | None:
    """A test whether a control unit's columns alone rule it out for a sensor; None if a paper names a unit by its tag.

    Other facts about a unit can only lower the grade.
    """
    if sensor.setting is not None and sensor.setting.unit:
        return None
    ours, grades = likeness(sensor), Grades(fits)
    return lambda unit: grades.of(ours, sensor, likeness(unit), unit) == "ruled out"


def all_pairs(
    session: Session,
    *,
    car: str | None = None,
    kind: str | None = None,
    include_ruled_out: bool = False,
    few: int | None = FEW,
) -> EveryPair:
    """Every sensor in the house with every control unit, best first; `few` as for `every_pair`.

    `car`: one of the two is, or was last, on that car; with `kind`, the one of that kind.
    """
    of_kind = reference_of(session).kind(kind).name if kind is not None else ""
    if of_kind not in ("", *PAIRED_KINDS):
        refuse_unpaired(Candidate("", of_kind, "", "", 0.0), SENSOR_KIND)
    sensors, units = _sensors_and_units(load_candidates(session, perhaps_in_house(session)))
    couples = [(sensors, units)]
    if car is not None:
        key = car_named(session, car).id
        of_car = set(session.scalars(select(Part.tag).where(Part.car_id == key)))
        ours = [sensor for sensor in sensors if sensor.tag in of_car and of_kind != UNIT_KIND]
        theirs = [unit for unit in units if unit.tag in of_car and of_kind != SENSOR_KIND]
        couples = [(ours, units), ([sensor for sensor in sensors if sensor not in ours], theirs)]
    return every_pair(couples, fits_on_record(session), include_ruled_out=include_ruled_out, few=few)


def shelf_plan(
    session: Session, *, place: str | None = None, car: str | None = None, reserved: Sequence[str] = ()
) -> Plan:
    """The best pairing of the parts in the house that are on no car. `reserved`: further tags to leave out."""
    where = f"{IN_HOUSE} AND part.fitted = 'no'"
    given: dict[str, object] = {}
    if place is not None:
        where, given = f"{where} AND part.place_id = :place", given | {"place": place_named(session, place).id}
    if car is not None:
        where, given = f"{where} AND part.car_id = :car", given | {"car": car_named(session, car).id}
    kept = [part_row(session, tag) for tag in reserved]
    for part in kept:
        refuse_gone(part)
    in_scope = [candidate for candidate in load_candidates(session, Scope(where, given)) if not candidate.away]
    sensors, units = _sensors_and_units(in_scope)
    kept_tags = {part.tag for part in kept} | {
        candidate.tag for candidate in in_scope if candidate.reserved is not None
    }
    return plan(sensors, units, fits_on_record(session), kept_tags)


def _sensors_and_units(every: list[Candidate]) -> tuple[list[Candidate], list[Candidate]]:
    units = [candidate for candidate in every if candidate.kind == UNIT_KIND]
    return [candidate for candidate in every if candidate.kind != UNIT_KIND], units


@dataclass(frozen=True)
class GoesWith:
    """The lines for a sensor's paper: the sensor, and the control unit that belongs to it (None: none is known)."""

    sensor: str
    unit: str | None = None
    part_number: str = ""
    match_code: str = ""
    grade: str = ""

    @property
    def says(self) -> str:
        """The text on the paper."""
        if self.unit is None:
            return (
                "Belongs to: its control unit is not on record. Read the number and code of the control unit it will "
                "run with, and write them here before it leaves"
            )
        code = f"code {self.match_code}" if self.match_code else "code not clearly read"
        return f"Belongs to: control unit {self.part_number or 'number not read'}, {code} ({self.unit}, {self.grade})"

    def as_dict(self) -> dict[str, object]:
        """The object that stands in JSON."""
        return {
            "unit": self.unit,
            "part_number": self.part_number or None,
            "match_code": self.match_code or None,
            "grade": self.grade or None,
        }


def goes_with(session: Session, tag: str, how: str) -> GoesWith | None:
    """The lines for the paper of a sensor that leaves the bench; None if it needs no such paper.

    It names the best candidate, if that is confirmed or probable: a specialist should not work from a mere possibility.
    """
    part = part_row(session, tag)
    if how not in AWAY or part.kind != SENSOR_KIND:
        return None
    best = next((pair for pair in mates(session, part.tag) if pair.grade in ("confirmed", "probable")), None)
    if best is None:
        return GoesWith(part.tag)
    unit = best.unit_candidate
    code = unit.match_code if reading(unit).clear else ""
    return GoesWith(part.tag, unit.tag, unit.part_number, code, best.grade)
