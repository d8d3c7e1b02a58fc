"""The plan for putting a car back together: one step a part, in order, with what each waits for. Pure.

Steps come in as the record has them, those that came off last first; `plan_in_order` orders them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from inventory.refit.order import Before, in_order

__all__ = ["Circle", "RefitPlan", "Step", "StillOn", "plan_in_order"]

#: Where a step stands: done; free to be done; waits for others; its part is away or gone; nobody knows its part.
ON, NOW, WAITS, AWAY, UNKNOWN = "on", "now", "waits", "away", "unknown"


@dataclass(frozen=True)
class Step:
    """One part to put back, with all that was logged when it came off.

    `key`: of its position, or minus that of its part if no position was noted. `state`: on, now (may go on now), waits
    (for `waits_for`), away (sold, sent out, on another car), unknown (no part on record for it). `after`: the positions
    that go on before it; `group`: steps of one group do not wait for each other. `axis_from`: list or as found.
    `fitted_with`: the fasteners it was fitted with, if others. `checks`: what to look at. `notes`: what does not fit.
    `ready`: whether it may go on; None where that is not asked (on, away, unknown).
    """

    key: int
    position: str
    position_id: int | None = None
    part_id: int | None = None
    tag: str | None = None
    kind: str | None = None
    part: str = ""
    place: str | None = None
    bag: str | None = None
    order: int = 0
    group: int = 1
    state: str = WAITS
    on: str | None = None
    came_off: str | None = None
    removal: str | None = None
    after: tuple[str, ...] = ()
    waits_for: tuple[str, ...] = ()
    axis: str | None = None
    axis_from: str | None = None
    route: str | None = None
    bore: str | None = None
    low_spots: str | None = None
    at_port: str | None = None
    fasteners: tuple[str, ...] = ()
    fitted_with: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    connections: tuple[str, ...] = ()
    mounts: tuple[str, ...] = ()
    car_side: tuple[str, ...] = ()
    pictures: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    settings: tuple[str, ...] = ()
    care: tuple[str, ...] = ()
    ready: bool | None = None
    stops: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The object in the JSON of `refit plan`."""
        said = {field.name: getattr(self, field.name) for field in fields(self) if field.name not in _KEYS}
        return {name: list(value) if isinstance(value, tuple) else value for name, value in said.items()}


_KEYS = frozenset({"key", "position_id", "part_id"})


@dataclass(frozen=True)
class StillOn:
    """A position from which nothing came off: the part on it, if on record, and why it stays, if somebody said so."""

    position: str
    tag: str | None
    why: str | None


@dataclass(frozen=True)
class Circle:
    """Positions of which each is said to go on before the next, and the last before the first; and how to break it."""

    positions: tuple[str, ...]
    facts: tuple[str, ...]
    says: tuple[str, ...]
    mend: str

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


@dataclass(frozen=True)
class RefitPlan:
    """The steps in order; circles; what is still on; settings and cautions that belong to no single step."""

    car: str
    car_id: int
    steps: tuple[Step, ...]
    circles: tuple[Circle, ...] = ()
    still_on: tuple[StillOn, ...] = ()
    settings: tuple[str, ...] = ()
    care: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `refit plan`."""
        return {
            "car": self.car,
            "steps": [step.as_dict() for step in self.steps],
            "cycles": [circle.as_dict() for circle in self.circles],
            "still_on": [vars(each) for each in self.still_on],
            "settings": list(self.settings),
            "care": list(self.care),
        }


def plan_in_order(plan: RefitPlan, said: Sequence[Before]) -> RefitPlan:
    """The plan with its steps in order, numbered, each with its state and what it waits for."""
    steps = {step.key: step for step in plan.steps}
    order = in_order(list(steps), said)
    aside = set(order.set_aside)
    against: dict[int, list[str]] = {}
    for each in said:
        if each not in aside and each.first in steps and each.then in steps:
            against.setdefault(each.then, []).append(f"after {steps[each.first].position}: {each.says}")
    ordered = []
    for number, key in enumerate(order.sequence, 1):
        step, before = steps[key], [steps[each] for each in order.after[key]]
        waits = tuple(each.position for each in before if each.state != ON)
        state = step.state if step.state != WAITS else WAITS if waits else NOW
        ordered.append(
            replace(
                step,
                order=number,
                group=order.group[key],
                state=state,
                after=tuple(each.position for each in before),
                waits_for=waits if state == WAITS else (),
                reasons=(*step.reasons, *against.get(key, ())),
            )
        )
    return replace(plan, steps=tuple(ordered), circles=tuple(_circle(each, steps, aside) for each in order.cycles))


def _circle(circle: Sequence[Before], steps: dict[int, Step], aside: Iterable[Before]) -> Circle:
    """A circle in words. What speaks against the order of coming off is the first to look at."""
    doubtful = [each for each in circle if each in aside]
    first = doubtful[0]
    return Circle(
        tuple(dict.fromkeys(steps[each.first].position for each in circle)),
        tuple(dict.fromkeys(each.fact for each in circle)),
        tuple(f"{each.says} ({each.fact})" for each in circle),
        f"One of these facts must be wrong. Look first at {first.fact}: it speaks against the order in which they came "
        f"off, and the plan does not follow it. To mend it: matchmark fact correct {first.fact}",
    )
