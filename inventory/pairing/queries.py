"""Gathering sensors, control units and known fits for the judgements on who belongs with whom."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from inventory.bench.queries import runs_by
from inventory.cars.queries import car_named
from inventory.evidence.queries import Evidence, evidence_of_many
from inventory.pairing.fit import FitRow, Fits, Supersession
from inventory.pairing.halves import (
    PAIRED_KINDS,
    UNIT_KIND,
    CalibrationShown,
    Half,
    OnRecord,
    SealNoted,
    StripDown,
)
from inventory.pairing.judgements import PairJudgement, candidates, pairs_among
from inventory.pairing.plan import Plan, plan
from inventory.pairing.shown import mixture_shows, sweep_shows
from inventory.parts import tables
from inventory.parts.history import FactView, facts_of_many
from inventory.parts.judgements import AWAY
from inventory.parts.queries import PartLine, lines_of, part_row
from inventory.parts.tables import Fit, Marking, Part, PartNumber
from inventory.places.queries import place_named
from inventory.provenance.tables import Attachment, Provenance
from inventory.reference.load import factory_seals
from inventory.reference.load import kind as kind_named
from inventory.store.facts import as_of, fact_id
from inventory.store.text import squeeze
from inventory.teardown.tables import Removal

__all__ = ["all_pairs", "fit_rows", "fits_on_record", "halves", "mates", "shelf_plan"]


def fits_on_record(session: Session, *, known_on: date | None = None) -> Fits:
    """Which numbers work together, by all that is known, or was on a day."""
    sensor, unit = aliased(PartNumber), aliased(PartNumber)
    known = as_of(select(Fit), Fit, known_on=known_on)
    query = known.join(sensor, sensor.id == Fit.thing_id).join(unit, unit.id == Fit.unit_number_id)
    rows = session.execute(query.add_columns(sensor.squeezed, unit.squeezed)).all()
    last = {(ours, theirs): fact for fact, ours, theirs in rows}
    fits = [FitRow(*numbers, fact_id(Fit, fact.id)) for numbers, fact in last.items() if fact.fits == "yes"]
    old, new = aliased(PartNumber), aliased(PartNumber)
    model = tables.Supersession
    steps = as_of(select(model), model, known_on=known_on).join(old, old.id == model.thing_id)
    steps = steps.join(new, new.id == model.by_number_id)
    replaced = session.execute(steps.add_columns(old.squeezed, new.squeezed)).all()
    return Fits.of(fits, [Supersession(before, after, fact_id(model, fact.id)) for fact, before, after in replaced])


def fit_rows(session: Session) -> list[dict[str, Any]]:
    """The known fits as written, for lists and sheets."""
    sensor, unit = aliased(PartNumber), aliased(PartNumber)
    query = as_of(select(Fit), Fit).join(sensor, sensor.id == Fit.thing_id).join(unit, unit.id == Fit.unit_number_id)
    return [
        {
            "fact": fact_id(Fit, fact.id),
            "sensor_number": ours,
            "unit_number": theirs,
            "fits": fact.fits == "yes",
            "on": fact.so_from,
        }
        for fact, ours, theirs in session.execute(query.add_columns(sensor.written, unit.written))
    ]


def mates(session: Session, tag: str, *, include_ruled_out: bool = False) -> list[PairJudgement]:
    """The candidates for one part's mate, best first."""
    part = part_row(session, tag)
    every = halves(session, Part.gone.is_(None) | (Part.id == part.id))
    known = next((half for half in every if half.tag == part.tag), None)
    one = known or Half(part.tag, part.kind or "other", "", "", 0.0)
    others = [half for half in every if half.tag != part.tag]
    return list(candidates(one, others, fits_on_record(session), include_ruled_out=include_ruled_out))


def all_pairs(
    session: Session, *, car: str | None = None, kind: str | None = None, include_ruled_out: bool = False
) -> list[PairJudgement]:
    """Every sensor in the house with every control unit, best first; `car`: one half at least is of that car."""
    if kind is not None and kind_named(kind).name not in PAIRED_KINDS:
        candidates(Half("", kind_named(kind).name, "", "", 0.0), [], fits_on_record(session))
    every = halves(session, Part.gone.is_(None))
    sensors, units = _split(every)
    found = pairs_among(sensors, units, fits_on_record(session), include_ruled_out=include_ruled_out)
    if car is None:
        return list(found)
    key = car_named(session, car).id
    of_car = set(session.scalars(select(Part.tag).where(Part.car_id == key)))
    return [pair for pair in found if pair.sensor in of_car or pair.unit in of_car]


def shelf_plan(
    session: Session, *, place: str | None = None, car: str | None = None, reserved: Sequence[str] = ()
) -> Plan:
    """How best to pair what is in the house and on no car."""
    conditions = [Part.gone.is_(None), Part.fitted == "no"]
    if place is not None:
        conditions.append(Part.place_id == place_named(session, place).id)
    if car is not None:
        conditions.append(Part.car_id == car_named(session, car).id)
    away = _away(session)
    kept = {part_row(session, tag).tag for tag in reserved}
    sensors, units = _split([half for half in halves(session, *conditions) if half.tag not in away])
    return plan(sensors, units, fits_on_record(session), kept)


def halves(session: Session, *conditions: Any) -> list[Half]:
    """Sensors and control units that meet the conditions, as the pairing judgements are told of them, by tag."""
    parts = lines_of(session, Part.kind.in_(PAIRED_KINDS), *conditions)
    keys = [part.id for part in parts]
    evidence = evidence_of_many(session, {part.id: part.kind or "other" for part in parts})
    facts = _by_table(facts_of_many(session, keys, (Marking, Removal, Attachment)))
    on_cars = _mixtures(session)
    return [_half(part, evidence[part.id], facts[part.id], on_cars[part.tag]) for part in parts]


def _half(
    part: PartLine, evidence: Evidence, facts: dict[str, list[FactView]], on_cars: list[CalibrationShown]
) -> Half:
    seals = {fact.values["seal"]: fact for fact in evidence.seals}
    codes = [fact.id for fact in facts["marking"] if fact.values["match_code_state"]]
    return Half(
        tag=part.tag,
        kind=part.kind or "other",
        part_number=part.part_number or "",
        part_number_squeezed=squeeze(part.part_number or ""),
        p_serviceable=evidence.serviceability.p_serviceable,
        match_code=part.match_code or "",
        match_code_state=part.match_code_state or "not looked at",  # type: ignore[arg-type]
        match_code_read_from=part.match_code_read_from or "",  # type: ignore[arg-type]
        seal_state=part.seal_state,  # type: ignore[arg-type]
        seals_noted=tuple(
            SealNoted(seal, fact.values["state"], fact.id, fact.values["document"] is not None)
            for seal, fact in seals.items()
        ),
        seals_never_noted=tuple(
            seal for seal in factory_seals(part.kind or "other", part.part_number or "") if seal not in seals
        ),
        opened=_opened(evidence),
        decisive_failure=_failure(evidence),
        strip_down=_ran_in(facts["removal"]),
        document_count=len(facts["attachment"]),
        fitted_to=(part.car or "") if part.fitted else "",
        changed=_changed(evidence),
        calibration_shown=(*_sweeps(evidence), *on_cars),
        fact=facts["marking"][0].id if facts["marking"] else "",
        code_fact=codes[-1] if codes else "",
    )


def _mixtures(session: Session) -> dict[str, list[CalibrationShown]]:
    """What running cars have shown of the pairs that were on them, by the sensor's tag, oldest first."""
    found: dict[str, list[CalibrationShown]] = defaultdict(list)
    for run in runs_by(session, "mixture"):
        pair = run.judgement.figures.get("pair")
        if isinstance(pair, dict) and mixture_shows(run.judgement.verdict, run.judgement.figures):
            says = f"the mixture was right on the running car with this pair ({run.fact.on})"
            found[pair["sensor"]].append(CalibrationShown(says, _since(run.fact), pair["unit"], run.fact.id))
    return found


def _sweeps(evidence: Evidence) -> list[CalibrationShown]:
    """The last sweep, where it came out like the reference."""
    last = [run for run in evidence.runs if run.procedure == "sweep"][-1:]
    return [
        CalibrationShown(f"a sweep came out like the reference ({run.fact.on})", _since(run.fact), fact=run.fact.id)
        for run in last
        if sweep_shows(run.judgement.verdict, run.judgement.figures)
    ]


def _since(run: FactView) -> str:
    """When a run was made at the earliest, as it sorts with what was found or done."""
    return f"{run.earliest} {run.ranked}"


def _changed(evidence: Evidence) -> str:
    """When work on the unit itself was last done, or a seal last found broken, at the latest."""
    broken = [seal for seal in evidence.seals if seal.values["state"] in ("missing", "disturbed", "renewed")]
    work = [work for work in evidence.work if work.values["area"] == "on the unit"]
    return max((f"{fact.latest} {fact.ranked}" for fact in (*broken, *work)), default="")


def _ran_in(removals: list[FactView]) -> StripDown | None:
    """The strip-down in which a part last came off a car; none where it came off outside one."""
    if not removals or removals[-1].values["strip_down"] is None:
        return None
    return StripDown(removals[-1].values["strip_down"], removals[-1].values["car"], removals[-1].id)


def _opened(evidence: Evidence) -> OnRecord | None:
    """The last work on the unit itself, which may mean that it was opened or trimmed."""
    inside = [fact for fact in evidence.work if fact.values["area"] == "on the unit"]
    return OnRecord(f"{inside[-1].values['what']} ({inside[-1].on})", inside[-1].id) if inside else None


def _failure(evidence: Evidence) -> OnRecord | None:
    """The last decided run of any procedure, where it failed."""
    decided = {run.procedure: run for run in evidence.runs if run.judgement.verdict in ("pass", "fail")}
    failed = [run for run in decided.values() if run.judgement.verdict == "fail"]
    return OnRecord(f"failed the {failed[0].procedure} on {failed[0].fact.on}", failed[0].fact.id) if failed else None


def _away(session: Session) -> set[str]:
    """Tags of parts that are lent or sent out by the last word on where they are."""
    query = as_of(select(Provenance.how, Part.tag).join(Part, Part.id == Provenance.thing_id), Provenance)
    last = {tag: how for how, tag in session.execute(query) if how != "not known"}
    return {tag for tag, how in last.items() if how in AWAY}


def _split(every: list[Half]) -> tuple[list[Half], list[Half]]:
    units = [half for half in every if half.kind == UNIT_KIND]
    return [half for half in every if half.kind != UNIT_KIND], units


def _by_table(facts: dict[int, list[FactView]]) -> dict[int, dict[str, list[FactView]]]:
    sorted_out: dict[int, dict[str, list[FactView]]] = defaultdict(lambda: defaultdict(list))
    for key, several in facts.items():
        for fact in several:
            sorted_out[key][fact.table].append(fact)
    return sorted_out
