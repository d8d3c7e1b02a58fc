"""Reads what is on record about parts that are to go on a car: a fixed number of statements for all of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.ended import OnTheUnit, ended_by
from inventory.bench.tables import BenchRun
from inventory.cars.queries import listings
from inventory.cars.tables import Car
from inventory.contradictions.judgements import OnPart
from inventory.contradictions.load_facts import load_contradictions
from inventory.evidence.queries import Evidence, evidence_of_many
from inventory.evidence.tables import Claim
from inventory.facts.declare import declared
from inventory.facts.views import FactView, facts_of_many
from inventory.mishaps.tables import Mishap
from inventory.pairing.candidate import PAIRED_KINDS, SENSOR_KIND
from inventory.pairing.findings.fit import Fits
from inventory.pairing.queries import fits_on_record
from inventory.parts.judgements import AWAY
from inventory.parts.tables import Assessment, Part, Work
from inventory.people.queries import names_of_people
from inventory.provenance.tables import Provenance
from inventory.reference.data import Reference, reference_of
from inventory.reference.readiness import ReadinessRules
from inventory.refit.by_evidence import claimed_faults, failed_tests, last_hold, passed_leakage, undecided_leak
from inventory.refit.fuel import fuel_seen, hose_age
from inventory.refit.part_to_fit import Mate, OnRecord, PartToFit
from inventory.store.days.zone import today_in
from inventory.store.facts import AsOf, as_of
from inventory.store.many import among
from inventory.store.words.text import squeeze
from inventory.teardown.tables import Fitting, Removal, StripDown

__all__ = ["Going", "parts_to_fit"]

_TABLES = (Removal, Fitting, Assessment, Work, Mishap, Provenance)


@dataclass(frozen=True)
class Going:
    """A part that is to go on a position of a car; `axis`: which way it is to lie, "" as listed or found."""

    part: Part
    position: int | None
    position_name: str
    axis: str = ""


def parts_to_fit(
    session: Session,
    car_id: int,
    going: Sequence[Going],
    rules: ReadinessRules,
    when: AsOf,
    evidence: Mapping[int, Evidence] | None,
) -> list[PartToFit]:
    """The parts with all that decides, in the order given. `evidence`: theirs, if it was judged already."""
    keys = [each.part.id for each in going]
    if not keys:
        return []
    facts = facts_of_many(session, keys, _TABLES, when)
    evidence = _evidence(session, keys, when) if evidence is None else evidence
    looks = load_contradictions(session, keys, when)
    further = [judge(session, keys, when) for judge in declared(session).contradictions]
    about = _About(session, car_id, [each.position for each in going if each.position], going, when)
    return [
        replace(
            about.part(each, facts.get(each.part.id, ()), looks.get(each.part.id, OnPart()), rules),
            **_by_evidence(evidence.get(each.part.id)),
            contradictions=(
                *looks.get(each.part.id, OnPart()).every,
                *(one for judge in further for one in judge.get(each.part.id, ())),
            ),
        )
        for each in going
    ]


def _evidence(session: Session, keys: Sequence[int], when: AsOf) -> dict[int, Evidence]:
    """The evidence on those of some parts that were tested, or of which somebody claims something."""
    tested = {
        key
        for table in (BenchRun, Claim)
        for key in session.scalars(select(table.thing_id).where(among(table.thing_id, keys)).distinct())
    }
    return evidence_of_many(session, sorted(tested), when) if tested else {}


def _by_evidence(evidence: Evidence | None) -> dict[str, Any]:
    if evidence is None:
        return {}
    return {
        "failed": failed_tests(evidence.serviceability.weighed),
        "claimed": claimed_faults(evidence.serviceability.weighed),
        "hold": last_hold(evidence.runs, evidence.serviceability.weighed),
        "leak": undecided_leak(evidence.runs),
        "tight": passed_leakage(evidence.runs),
    }


class _About:
    """What is on record about a car and its positions that all its parts share."""

    def __init__(self, session: Session, car_id: int, places: list[int], going: Sequence[Going], when: AsOf) -> None:
        self.car_id = car_id
        self.car = session.scalar(select(Car.name).where(Car.id == car_id)) or ""
        self.listed = listings(session, places)
        self.hands = names_of_people(session, {fact.by_id for fact in self.listed.values()})
        begun = as_of(select(StripDown).where(StripDown.thing_id == car_id), StripDown, when)
        self.begun = [(row.counts_from, row.ranked, row.ran) for row in session.scalars(begun)]
        self.reference: Reference = reference_of(session, when)
        self.today = (when.day or today_in(session)).isoformat()
        paired = any(each.part.kind in PAIRED_KINDS for each in going)
        numbered = any(fact.part_number or fact.numbers for fact in self.listed.values())
        self.fits: Fits | None = fits_on_record(session, when) if paired or numbered else None
        on_car = select(Part).where(Part.car_id == car_id, Part.kind.in_(PAIRED_KINDS), Part.gone.is_(None))
        self.pairs = list(session.scalars(on_car.order_by(Part.tag))) if paired else []
        self.mates: dict[tuple[str, str], tuple[Mate, ...]] = {}

    def part(self, going: Going, facts: Sequence[FactView], looks: OnPart, rules: ReadinessRules) -> PartToFit:
        """The part with what its own facts and its position say."""
        part, by_table = going.part, _by_table(facts)
        removal = next(iter(by_table["removal"][-1:]), None)
        moves = sorted((*by_table["removal"], *by_table["fitting"]), key=lambda fact: (fact.counts_from, fact.ranked))
        off_this = part.car_id == self.car_id and bool(moves) and moves[-1].table == "removal"
        listed = self.listed.get(going.position or 0)
        numbers = _numbers(listed.part_number, listed.numbers) if listed else ()
        found = removal.values.get("axis") if removal and off_this else None
        away = next((fact for fact in reversed(by_table["provenance"]) if fact.values["how"] != "not known"), None)
        kind = part.kind or "other"
        return PartToFit(
            tag=part.tag,
            kind=kind,
            number=part.part_number or "",
            car=self.car,
            position=going.position_name,
            own=off_this,
            ran=off_this and removal is not None and self._ran(removal, by_table),
            kind_there=(listed.kind or "") if listed else "",
            numbers_there=numbers,
            number_fits=self._is_one_of(part.part_number or "", numbers),
            axis_there=(listed.axis or "") if listed else "",
            listed_by=f"{listed.how_known}, {self.hands.get(listed.by_id, 'unknown')}" if listed else "",
            axis=going.axis or ((listed.axis if listed else None) or found or ""),
            moving_element=self.reference.kind(kind).moving_element,
            letter=(looks.letter.codes[0] if len(looks.letter.codes) == 1 else ""),
            seals={name: seal.state for name, seal in looks.seals.items()},
            mates=self._mates(part),
            away=OnRecord(away.values["how"], away.on, away.id) if away and away.values["how"] in AWAY else None,
            hose_age=hose_age(kind, going.position_name, part, by_table, rules, self.today),
            fuel=fuel_seen(by_table, rules, kind),
            facts=by_table,
        )

    def _ran(self, removal: FactView, facts: Mapping[str, Sequence[FactView]]) -> bool:
        """Whether the car ran before this removal, and nothing was done to the part since."""
        done = [
            OnTheUnit(fact.id, "", fact.on, fact.earliest, fact.latest, fact.ranked)
            for fact in (*facts["work"], *facts["mishap"])
            if fact.table == "mishap" or fact.values["area"] == "on the unit"
        ]
        at = (removal.counts_from, removal.ranked)  # not by its id: that is the old one once the answer was corrected
        here = removal.values.get("strip_down") is not None
        answers = [ran for *since, ran in self.begun if here and tuple(since) <= at]
        return answers[-1:] == ["yes"] and ended_by(removal, done) is None

    def _is_one_of(self, number: str, numbers: Sequence[str]) -> bool:
        if self.fits is None:
            return True
        family = self.fits.family_of(squeeze(number))
        return family in {self.fits.family_of(squeeze(each)) for each in numbers}

    def _mates(self, part: Part) -> tuple[Mate, ...] | None:
        """The units of the other kind on, or last off, this car; None for a kind that is not paired."""
        if part.kind not in PAIRED_KINDS or self.fits is None:
            return None
        ours = part.part_number_squeezed or ""
        if (part.kind, ours) not in self.mates:
            others = (other for other in self.pairs if other.kind != part.kind)
            self.mates[part.kind, ours] = tuple(self._mate(part.kind, ours, other) for other in others)
        return self.mates[part.kind, ours]

    def _mate(self, kind: str, number: str, other: Part) -> Mate:
        theirs = other.part_number_squeezed or ""
        sensor, unit = (number, theirs) if kind == SENSOR_KIND else (theirs, number)
        may_fit = self.fits is None or self.fits.judge(sensor, unit).may_fit
        letter = squeeze(other.match_code or "").upper() if other.match_code_state == "read" else ""
        return Mate(other.tag, other.part_number or "", may_fit, letter)


def _numbers(first: str | None, more: str | None) -> tuple[str, ...]:
    every = [first or "", *(more or "").split(";")]
    return tuple(each.strip() for each in every if each.strip())


def _by_table(facts: Sequence[FactView]) -> dict[str, list[FactView]]:
    found: dict[str, list[FactView]] = {table.__tablename__: [] for table in _TABLES}
    for fact in facts:
        found[fact.table].append(fact)
    return found
