"""Reads whether the parts of a car may go back on it: a fixed number of statements for a whole car."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import positions
from inventory.evidence.queries import Evidence
from inventory.parts.tables import Part
from inventory.reference.readiness import readiness_rules
from inventory.refit.load_assigned import load_assigned
from inventory.refit.load_part_to_fit import Going, parts_to_fit
from inventory.refit.readiness import Finding, PositionReady, findings_of
from inventory.store.facts import NOW, AsOf, as_of
from inventory.store.many import among
from inventory.teardown.tables import Fitting, Removal, Stay

__all__ = ["readiness", "readiness_of_part", "readiness_of_parts"]


def readiness(session: Session, car_id: int) -> tuple[PositionReady, ...]:
    """Every position of a car, in the order of its list: what is on, and whether what came off may go on again.

    Two parts that came off one position stand there both; a part that is to go on elsewhere stands there, not where it
    came off. Parts logged without a position come last.
    """
    views = positions(session, car_id)
    names = {view.id: view.name for view in views}
    rows = session.scalars(select(Part).where(Part.car_id == car_id, Part.kind.is_not(None)).order_by(Part.tag)).all()
    assigned = {each.thing_id: key for key, each in load_assigned(session).items()}
    at: dict[int | None, list[Part]] = defaultdict(list)
    for part in rows:
        if part.fitted == "yes" or part.id not in assigned:
            at[part.position_id if part.position_id in names else None].append(part)
    for part in session.scalars(select(Part).where(among(Part.id, assigned)).order_by(Part.tag)):
        if assigned[part.id] in names:
            at[assigned[part.id]] = [each for each in at[assigned[part.id]] if each.fitted == "yes"] + [part]
    stays = set(session.scalars(as_of(select(Stay.thing_id), Stay)))
    emptied = set(session.scalars(as_of(select(Removal.position_id).where(Removal.car_id == car_id), Removal)))
    off = [
        Going(part, key, names.get(key or 0, ""))
        for key, parts in at.items()
        if not any(part.fitted == "yes" for part in parts)
        for part in parts
        if part.gone is None
    ]
    judged = readiness_of_parts(session, car_id, off)
    against = _against_advice(session, [part.id for part in rows if part.fitted == "yes"])
    found: list[PositionReady] = []
    for view in views:
        here = at.get(view.id, [])
        on = [part for part in here if part.fitted == "yes"]
        if on:
            found += [PositionReady(view.id, view.name, part.tag, "on", notes=against.get(part.id, ())) for part in on]
        elif kept := [judged[part.id] for part in here if part.id in judged]:
            found += kept
        else:
            gone = view.id in emptied and view.id not in stays
            found.append(PositionReady(view.id, view.name, None, "empty" if gone else "on"))
    for part in at.get(None, []):
        if part.fitted == "yes":
            found.append(PositionReady(None, "", part.tag, "on", notes=against.get(part.id, ())))
        elif part.id in judged:
            found.append(judged[part.id])
    return tuple(found)


def readiness_of_part(
    session: Session,
    part: Part,
    car_id: int,
    position_id: int | None,
    position: str,
    *,
    axis: str | None = None,
    when: AsOf = NOW,
    evidence: Evidence | None = None,
) -> PositionReady:
    """Whether one part may go on a position of a car (None: one that is new), in a state of the record.

    `evidence`: the part's in that state, if it was judged already.
    """
    judged = {part.id: evidence} if evidence is not None else None
    return readiness_of_parts(session, car_id, [Going(part, position_id, position, axis or "")], when, judged)[part.id]


def readiness_of_parts(
    session: Session,
    car_id: int,
    going: Sequence[Going],
    when: AsOf = NOW,
    evidence: Mapping[int, Evidence] | None = None,
) -> dict[int, PositionReady]:
    """Whether each of several parts may go on its position of a car, by the key of the part.

    `evidence`: theirs in that state, if it was judged already.
    """
    rules = readiness_rules()
    found = {}
    for each, part in zip(going, parts_to_fit(session, car_id, going, rules, when, evidence), strict=True):
        findings = findings_of(part, rules)
        stops = tuple(one for one in findings if one.level == "stop")
        notes = tuple(one for one in findings if one.level == "note")
        state = "stop" if stops else "note" if notes else "ready"
        last = rules.last_for(part.kind)
        found[each.part.id] = PositionReady(each.position, each.position_name, part.tag, state, stops, notes, last)  # type: ignore[arg-type]
    return found


def _against_advice(session: Session, keys: Sequence[int]) -> dict[int, tuple[Finding, ...]]:
    """What was put on against advice, with the reason, by part."""
    found: dict[int, tuple[Finding, ...]] = {}
    for fact in session.scalars(as_of(select(Fitting).where(among(Fitting.thing_id, keys)), Fitting)):
        note = Finding("note", "against-advice", f"fitted against advice: {fact.override}", "", (f"fitting-{fact.id}",))
        found[fact.thing_id] = (note,) if fact.override else ()
    return found
