"""What is to be put back on a car, from what was logged when it came off. Pure: rows come in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from inventory.reference.load import cautions_for
from inventory.refit.order import Before
from inventory.refit.plan import AWAY, ON, UNKNOWN, WAITS, Step, StillOn
from inventory.store.words.text import fold

__all__ = ["Apart", "PartNow", "befores_of", "steps_of", "still_on"]

_MOVED = "was moved: pipes not strained? no leak? does its plug still go on with the neighbour fitted?"
_OUT = frozenset({"sent out", "lent out"})


@dataclass(frozen=True)
class PartNow:
    """A part as it is now: on this car (`here`) or not, fitted or not, and where it lies. `car_id`... are names."""

    id: int
    tag: str
    kind: str | None
    maker: str | None
    part_number: str | None
    here: bool
    fitted: bool
    position_id: int | None
    car: str | None
    place: str | None
    whose: str
    gone: str | None

    @property
    def words(self) -> str:
        """Kind, maker and number."""
        return " ".join(word for word in (self.kind, self.maker, self.part_number) if word)

    @property
    def away(self) -> str:
        """Why it is not here to be fitted; "" if it is."""
        said = self.gone or (self.whose if self.whose in _OUT else "")
        return f"{self.tag} is recorded as {said}" if said else ""


@dataclass(frozen=True)
class Apart:
    """What is on record about a car that is, or was, taken apart.

    `positions`: names by key, in the order of the list; `listed`: the latest listing of each. `removals` in the order
    of coming off, `fittings` oldest first. `parts`: all that they name or that are on the car, by key. `stays`: why
    something stays on. `strip_down`: the key of the last one. `pictures`: day and file name, by part or position.
    """

    positions: Mapping[int, str]
    listed: Mapping[int, Any]
    removals: Sequence[Any]
    fittings: Sequence[Any]
    parts: Mapping[int, PartNow]
    strip_down: int | None = None
    stays: Mapping[int, str] = field(default_factory=dict)
    pictures: Mapping[int, Sequence[tuple[str, str]]] = field(default_factory=dict)


def steps_of(apart: Apart) -> list[Step]:
    """The steps, what came off last first."""
    places: dict[tuple[int | None, int], list[Any]] = defaultdict(list)
    for removal in apart.removals:
        places[removal.position_id, 0 if removal.position_id else removal.thing_id].append(removal)
    fitted = {part.position_id: part for part in apart.parts.values() if part.here and part.fitted}
    steps: dict[int, Step] = {}
    for (position_id, _), removals in places.items():
        mounted = fitted.get(position_id) if position_id else None
        made = _on(apart, mounted, removals) if mounted else _off(apart, removals)
        steps |= {removal.id: step for removal, step in made}
    return [steps[removal.id] for removal in reversed(apart.removals) if removal.id in steps]


def _on(apart: Apart, part: PartNow, removals: Sequence[Any]) -> Iterator[tuple[Any, Step]]:
    """A position with a part on it: a step that is done, if something came off it in the last strip-down."""
    last = removals[-1]
    if last.strip_down_id == apart.strip_down:
        left = [each for each in _off_now(apart, removals) if each.thing_id != part.id]
        notes = [f"{apart.parts[each.thing_id].tag} came off here and is still off; {part.tag} is on" for each in left]
        yield last, _step(apart, last, part, ON, notes)


def _off(apart: Apart, removals: Sequence[Any]) -> Iterator[tuple[Any, Step]]:
    """A position with no part on it: what came off last, and what sat there with it. Without a position, one part."""
    position_id = removals[-1].position_id
    off = _off_now(apart, removals)
    came_off = [apart.parts[key] for key in dict.fromkeys(each.thing_id for each in removals)]
    back_on = position_id is None and came_off[0].here and came_off[0].fitted
    if not off and not back_on and removals[-1].strip_down_id == apart.strip_down:
        yield removals[-1], _step(apart, removals[-1], None, UNKNOWN, [_whereabouts(part) for part in came_off])
    mounted = [_order_of(each) for each in apart.fittings if each.position_id == position_id]
    last_mounted = max(mounted, default=("", "", 0))
    before = [each for each in off[:-1] if _order_of(each) < last_mounted]
    notes = [f"{apart.parts[each.thing_id].tag} came off here before, another was fitted since" for each in before]
    together = [each for each in off if each not in before]
    for removal in together:
        part = apart.parts[removal.thing_id]
        others = [apart.parts[each.thing_id].tag for each in together if each is not removal]
        beside = [f"{', '.join(others)} came off here too: which one goes back?"] if others else []
        away = [part.away] if part.away else []
        yield removal, _step(apart, removal, part, AWAY if away else WAITS, [*away, *beside, *notes])


def _off_now(apart: Apart, removals: Sequence[Any]) -> list[Any]:
    """The last removal of each part that came off there and has been nowhere since."""
    last = {removal.thing_id: removal for removal in removals}
    parts = {key: apart.parts[key] for key in last}
    return [
        removal
        for key, removal in last.items()
        if parts[key].here and not parts[key].fitted and parts[key].position_id == removal.position_id
    ]


def _whereabouts(part: PartNow) -> str:
    """Where a part is that came off and does not wait to go back there."""
    if part.away:
        return part.away
    where = f'on the car "{part.car}"' if part.car and not part.here else "at another position"
    return f"{part.tag} came off here and is recorded {'as fitted ' if part.fitted else 'as having come off '}{where}"


def _order_of(fact: Any) -> tuple[str, str, int]:
    """The place of a fact among others."""
    return (fact.counts_from, fact.ranked, fact.id)


def _step(apart: Apart, removal: Any, part: PartNow | None, state: str, notes: Sequence[str]) -> Step:
    """A step with all that was logged at its removal; what was not logged is taken from the list."""
    position_id = removal.position_id
    listed = apart.listed.get(position_id)
    fitting = next((each for each in reversed(apart.fittings) if part and each.thing_id == part.id), None)
    axis = listed.axis if listed else None
    kind = (part.kind if part else None) or (listed.kind if listed else None)
    if part and part.id != removal.thing_id:
        notes = [*notes, f"{apart.parts[removal.thing_id].tag} came off here; {part.tag} goes on instead"]
    return Step(
        key=removal.id,
        position=apart.positions.get(position_id, "no position noted"),
        position_id=position_id,
        part_id=part.id if part else None,
        tag=part.tag if part else None,
        kind=kind,
        part=part.words if part else "",
        place=part.place if part else None,
        bag=removal.bag,
        state=state,
        on=fitting.so_from if fitting and state == ON else None,
        came_off=removal.so_from,
        removal=f"removal-{removal.id}",
        axis=axis or removal.axis,
        axis_from="list" if axis else "as found" if removal.axis else None,
        route=removal.route,
        bore=removal.bore,
        low_spots=removal.low_spots,
        at_port=removal.at_port,
        fasteners=_several(removal.fasteners) or _several(listed and listed.fasteners),
        fitted_with=_several(fitting.fasteners) if fitting and state == ON else (),
        broken=_several(removal.broken),
        connections=_several(removal.connections) or _several(listed and listed.connections),
        mounts=_several(removal.mounts) or _several(listed and listed.mounts),
        car_side=_several(removal.car_side),
        pictures=_pictures(apart, removal),
        checks=tuple(f"{each} {_MOVED}" for each in _several(removal.moved)),
        care=tuple(each.line for each in cautions_for("refit", kind or "") if each.kinds),
        notes=tuple(notes),
    )


def _pictures(apart: Apart, removal: Any) -> tuple[str, ...]:
    """Pictures of the part from the day it came off, and of where it sat."""
    of_part = [name for day, name in apart.pictures.get(removal.thing_id, ()) if day == removal.so_from]
    return tuple(dict.fromkeys((*of_part, *(name for _, name in apart.pictures.get(removal.position_id, ())))))


def _several(text: str | None) -> tuple[str, ...]:
    """What stands between semicolons."""
    return tuple(filter(None, (each.strip() for each in (text or "").split(";"))))


def still_on(apart: Apart, steps: Iterable[Step]) -> tuple[StillOn, ...]:
    """The positions without a step: nothing came off them in the last strip-down."""
    taken = {step.position_id for step in steps}
    on = {part.position_id: part.tag for part in apart.parts.values() if part.here and part.fitted}
    return tuple(
        StillOn(name, on.get(key), apart.stays.get(key)) for key, name in apart.positions.items() if key not in taken
    )


def befores_of(apart: Apart, steps: Sequence[Step]) -> Iterator[Before]:
    """What goes on before what: what sits behind something, and what something was moved for."""
    named: dict[str, list[Step]] = defaultdict(list)
    for step in steps:
        named[fold(step.position)].append(step)
    moved = {removal.id: _several(removal.moved) for removal in apart.removals}
    for step in steps:
        if (listed := apart.listed.get(step.position_id or 0)) is not None:
            for other in (other for name in _several(listed.behind) for other in named[fold(name)]):
                says = f"{step.position} sits behind {other.position}"
                yield Before(step.key, other.key, f"position_listing-{listed.id}", says)
        for other in (other for name in moved[step.key] for other in named[fold(name)]):
            says = f"{other.position} was moved to get at {step.position}"
            yield Before(step.key, other.key, f"removal-{step.key}", says)
