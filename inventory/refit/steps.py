"""What is to be put back on a car, from what was logged when it came off. Pure: rows come in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from inventory.hardware.compare import same_things
from inventory.reference.load import cautions_for
from inventory.reference.refit_checks import refit_checks
from inventory.refit.apart import Apart, PartNow, Picture
from inventory.refit.jobs import JobLine
from inventory.refit.order import Before
from inventory.refit.plan import AWAY, ON, UNKNOWN, WAITS, Step, StillOn
from inventory.store.words.text import fold

__all__ = ["Apart", "PartNow", "befores_of", "steps_of", "still_on"]


def steps_of(apart: Apart) -> list[Step]:
    """The steps, what came off last first; then parts that are to go where nothing came off."""
    places: dict[tuple[int | None, int], list[Any]] = defaultdict(list)
    for removal in apart.removals:
        places[removal.position_id, 0 if removal.position_id else removal.thing_id].append(removal)
    fitted = {part.position_id: part for part in apart.parts.values() if part.here and part.fitted}
    steps: dict[int, Step] = {}
    for (position_id, _), removals in places.items():
        mounted = fitted.get(position_id) if position_id else None
        made = _on(apart, mounted, removals) if mounted else _off(apart, removals)
        steps |= {removal.id: step for removal, step in made}
    found = [steps[removal.id] for removal in reversed(apart.removals) if removal.id in steps]
    taken = {step.position_id for step in found}
    for position_id, assignment in apart.assigned.items():
        if position_id not in taken:
            there = fitted.get(position_id)
            notes = [f"{there.tag} is still on there"] if there else []
            found.append(_step(apart, position_id, None, apart.parts[assignment.thing_id], WAITS, notes))
    return found


def _on(apart: Apart, part: PartNow, removals: Sequence[Any]) -> Iterator[tuple[Any, Step]]:
    """A position with a part on it: a step that is done, if something came off it in the last strip-down."""
    last = removals[-1]
    if last.strip_down_id == apart.strip_down:
        left = [each for each in _off_now(apart, removals) if each.thing_id != part.id]
        notes = [f"{apart.parts[each.thing_id].tag} came off here and is still off; {part.tag} is on" for each in left]
        yield last, _step(apart, last.position_id, last, part, ON, notes)


def _off(apart: Apart, removals: Sequence[Any]) -> Iterator[tuple[Any, Step]]:
    """A position with no part on it: what is to go there, else what came off last, and what sat there with it.

    Without a position the removals are those of one part.
    """
    last, position_id = removals[-1], removals[-1].position_id
    off = _off_now(apart, removals)
    if (assignment := apart.assigned.get(position_id or 0)) is not None:
        part = apart.parts[assignment.thing_id]
        left = [apart.parts[each.thing_id].tag for each in off if each.thing_id != part.id]
        notes = [f"{', '.join(left)} came off here; {part.tag} is to go on instead"] if left else []
        own = next((each for each in off if each.thing_id == part.id), last)
        yield last, _step(apart, position_id, own, part, WAITS, notes)
        return
    came_off = [apart.parts[key] for key in dict.fromkeys(each.thing_id for each in removals)]
    back_on = position_id is None and came_off[0].here and came_off[0].fitted
    if not off and not back_on and last.strip_down_id == apart.strip_down:
        notes = [_whereabouts(apart, part, position_id) for part in came_off]
        yield last, _step(apart, position_id, last, None, UNKNOWN, notes)
    mounted = [_order_of(each) for each in apart.fittings_at.get(position_id, ())]
    last_mounted = max(mounted, default=("", "", 0))
    before = [each for each in off[:-1] if _order_of(each) < last_mounted]
    notes = [f"{apart.parts[each.thing_id].tag} came off here before, another was fitted since" for each in before]
    together = [each for each in off if each not in before]
    for removal in together:
        others = [apart.parts[each.thing_id].tag for each in together if each is not removal]
        beside = [f"{', '.join(others)} came off here too"] if others else []
        part = apart.parts[removal.thing_id]
        yield removal, _step(apart, position_id, removal, part, WAITS, [*beside, *notes])


def _off_now(apart: Apart, removals: Sequence[Any]) -> list[Any]:
    """The last removal of each part that came off there and has been nowhere since."""
    last = {removal.thing_id: removal for removal in removals}
    parts = {key: apart.parts[key] for key in last}
    return [
        removal
        for key, removal in last.items()
        if parts[key].here and not parts[key].fitted and parts[key].position_id == removal.position_id
        if not apart.goes_elsewhere(key, removal.position_id)
    ]


def _whereabouts(apart: Apart, part: PartNow, position_id: int | None) -> str:
    """Where a part is that came off and does not wait to go back there."""
    if part.away:
        return part.away
    if other := apart.goes_elsewhere(part.id, position_id):
        return f"{part.tag} came off here and is to go on elsewhere: {other}"
    where = f"here: {apart.name(part.position_id)}" if part.here else f'the car "{part.car}"'
    return f"{part.tag} came off here and is recorded as {'fitted' if part.fitted else 'off'} {where}"


def _order_of(fact: Any) -> tuple[str, str, int]:
    """The place of a fact among others."""
    return (fact.counts_from, fact.ranked, fact.id)


def _step(
    apart: Apart, position_id: int | None, removal: Any, part: PartNow | None, state: str, notes: Sequence[str]
) -> Step:
    """A step with all that was logged at its removal, if any; what was not logged is taken from the list."""
    listed = apart.listed.get(position_id or 0)
    fitting = apart.last_fitting_of.get(part.id) if part else None
    mounted = fitting if state == ON else None
    kind = (part.kind if part else None) or (listed.kind if listed else None)
    if part and part.away and state == WAITS:
        state, notes = AWAY, [part.away, *notes]
    if part and part.as_one:
        notes = [*notes, f"came off as one with {', '.join(part.as_one)}"]

    def logged(name: str) -> Any:
        return getattr(removal, name) if removal else None

    def listed_or_logged(name: str) -> tuple[str, ...]:
        return _several(logged(name)) or _several(getattr(listed, name) if listed else None)

    axis = (listed.axis if listed else None) or logged("axis")
    called = " ".join(filter(None, (apart.name(position_id), part.marks if part else "")))
    return Step(
        key=f"removal-{removal.id}" if removal else f"assignment-{apart.assigned[position_id or 0].id}",
        position=apart.name(position_id),
        position_id=position_id,
        part_id=part.id if part else None,
        tag=part.tag if part else None,
        kind=kind,
        part=part.words if part else "",
        marks=part.told_by if part else (),
        place=part.place if part else None,
        bag=logged("bag"),
        state=state,
        on=mounted.so_from if mounted else None,
        came_off=logged("so_from"),
        removal=f"removal-{removal.id}" if removal else None,
        axis=axis,
        axis_from=None if not axis else "list" if listed and listed.axis else "as found",
        route=logged("route"),
        bore=logged("bore"),
        low_spots=logged("low_spots"),
        at_port=logged("at_port"),
        fasteners=listed_or_logged("fasteners"),
        fasteners_listed=_others_listed(logged("fasteners"), listed.fasteners if listed else None),
        fitted_with=_several(mounted.fasteners) if mounted else (),
        broken=_several(logged("broken")),
        moved=_several(logged("moved")),
        remarks=_remarks(apart, removal),
        connections=listed_or_logged("connections"),
        mounts=listed_or_logged("mounts"),
        car_side=(*_several(logged("car_side")), *_car_side_labels(apart, removal)),
        pictures=tuple(each.name for each in pictures_of(apart, position_id, removal)),
        checks=_checks(apart, removal, part),
        settings=tuple(says for name, says in apart.settings if _sits_at(apart, name, position_id, kind)),
        alterations=tuple(apart.altered.get(position_id, ())) if position_id else (),
        care=tuple(each.line for each in cautions_for("refit", kind or "", called) if each.kinds),
        notes=tuple(notes),
    )


def _others_listed(found: str | None, listed: str | None) -> tuple[str, ...]:
    """The fasteners of the list, where others were found."""
    return _several(listed) if found and listed and not same_things(found, listed) else ()


def _checks(apart: Apart, removal: Any, part: PartNow | None) -> tuple[str, ...]:
    """What to look at: what was moved, and earths through a bracket that was painted or stands on rubber since."""
    checks = refit_checks()
    found = [f"{each} {checks.moved}" for each in _several(removal.moved if removal else None)]
    since = removal.counts_from if removal else ""
    works = [work for work in apart.works.get(part.id if part else 0, ()) if work.counts_from >= since]
    insulating = [work for work in works if checks.may_insulate(f"{work.what} {work.product or ''}")]
    return (*found, *(f"{work.what} ({work.so_from}): {checks.earth}" for work in insulating))


def _sits_at(apart: Apart, adjuster: str, position_id: int | None, kind: str | None) -> bool:
    """Whether an adjuster is part of what sits at a position: one name is in the other, else the kind is in its name.

    By the kind only if no other position or part can be meant.
    """
    name = fold(adjuster)
    named = [key for key, place in apart.positions.items() if fold(place) in name or name in fold(place)]
    if named or not kind or kind == "other":
        return position_id in named
    alike = [part for part in apart.parts.values() if part.here and part.kind == kind]
    return fold(kind) in name and len(alike) == 1


def _remarks(apart: Apart, removal: Any) -> tuple[str, ...]:
    """What was remarked about the part on the day it came off."""
    noted = apart.notes.get(removal.thing_id, ()) if removal else ()
    return tuple(each.text for each in noted if each.so_from == removal.so_from)


def _car_side_labels(apart: Apart, removal: Any) -> tuple[str, ...]:
    """The labels on what stayed on the car, as printed, each with what it is on."""
    labels = apart.car_sides.get(removal.thing_id, ()) if removal else ()
    return tuple(f"{each.stuck_on}: label {each.of_tag} C{each.number}" for each in labels)


def pictures_of(apart: Apart, position_id: int | None, removal: Any) -> tuple[Picture, ...]:
    """Pictures of the part from the day it came off, and of where it sat."""
    of_part = apart.pictures.get(removal.thing_id, ()) if removal else ()
    then = [each for each in of_part if each.day == removal.so_from]
    return tuple(dict.fromkeys((*then, *apart.pictures.get(position_id or 0, ()))))


def logged_steps(apart: Apart, numbers: Mapping[int, str]) -> list[tuple[Step, tuple[Picture, ...]]]:
    """The last strip-down as it was logged, in its order, whatever became of the parts since; with the pictures.

    `numbers`: by removal, as they stand on the bags, where several hands had a run of numbers each.
    """
    found: list[tuple[Step, tuple[Picture, ...]]] = []
    only_later: dict[str, Any] = dict.fromkeys(("fasteners_listed", "fitted_with", "checks", "alterations"), ())
    for removal in apart.removals:
        if removal.strip_down_id == apart.strip_down:
            notes = [f"number {numbers[removal.id]}"] if removal.id in numbers else []
            step = _step(apart, removal.position_id, removal, apart.parts[removal.thing_id], ON, notes)
            axis_from = "as found" if removal.axis else None
            number = len(found) + 1 if numbers else removal.sequence or 0
            seen = {name: _several(getattr(removal, name)) for name in ("fasteners", "connections", "mounts")}
            as_found = replace(step, order=number, axis=removal.axis, axis_from=axis_from, **only_later | seen)
            found.append((as_found, pictures_of(apart, removal.position_id, removal)))
    return found


def _several(text: str | None) -> tuple[str, ...]:
    """What stands between semicolons."""
    return tuple(filter(None, (each.strip() for each in text.split(";")))) if text else ()


def still_on(apart: Apart, steps: Iterable[Step]) -> tuple[StillOn, ...]:
    """The positions without a step: nothing came off them in the last strip-down."""
    taken = {step.position_id for step in steps}
    on = {part.position_id: part.tag for part in apart.parts.values() if part.here and part.fitted}
    return tuple(
        StillOn(name, on.get(key), apart.stays.get(key)) for key, name in apart.positions.items() if key not in taken
    )


def befores_of(apart: Apart, steps: Sequence[Step], jobs: Sequence[JobLine] = ()) -> Iterator[Before]:
    """What goes on before what: what sits behind something, what something was moved for, and jobs between them."""
    named: dict[str, list[Step]] = defaultdict(list)
    for step in steps:
        named[fold(step.position)].append(step)
    moved = {f"removal-{removal.id}": _several(removal.moved) for removal in apart.removals}
    for step in steps:
        if (listed := apart.listed.get(step.position_id or 0)) is not None:
            for other in (other for name in _several(listed.behind) for other in named[fold(name)]):
                says = f"{step.position} sits behind {other.position}"
                yield Before(step.key, other.key, f"position_listing-{listed.id}", says)
        for other in (other for name in moved.get(step.key, ()) for other in named[fold(name)]):
            says = f"{other.position} was moved to get at {step.position}"
            yield Before(step.key, other.key, step.key, says)
    for job in jobs:
        for step in named[fold(job.before)] if job.before else ():
            yield Before(job.key, step.key, job.key, f"job first: {job.text}")
        for step in named[fold(job.after)] if job.after else ():
            yield Before(step.key, job.key, job.key, f"job after {step.position}: {job.text}")
