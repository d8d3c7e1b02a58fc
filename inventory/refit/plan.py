"""The plan for putting a car back together: one step a part, in order, with what each waits for. Pure.

Steps come in as the record has them, those that came off last first; `plan_in_order` orders them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from inventory.refit.jobs import JobLine
from inventory.refit.order import Before, in_order
from inventory.refit.readiness import PositionReady

__all__ = ["Circle", "RefitPlan", "Step", "StillOn", "judged_plan", "plan_in_order"]

#: Where a step stands: done; free to be done; waits for others; its part is away or gone; nobody knows its part.
ON, NOW, WAITS, AWAY, UNKNOWN = "on", "now", "waits", "away", "unknown"


@dataclass(frozen=True)
class Step:
    """One part to put back, with all that was logged when it came off.

    `key`: the id of its removal, else of the assignment. `state`: on, now (may go on now), waits
    (for `waits_for`), away (sold, sent out, on another car), unknown (no part on record for it). `after`: the positions
    that go on before it; `group`: steps of one group do not wait for each other. `axis_from`: list or as found.
    `fasteners_listed`: those of the list, if others were found; `fitted_with`: those it was fitted with, if others.
    `checks`: what to look at. `notes`: what does not fit.
    `ready`: whether it may go on by its readiness, `stops` and `cautions` why (not); None where that is not asked.
    `reasons`: why it stands where it does, and what stands against it.
    """

    key: str
    position: str
    position_id: int | None = None
    part_id: int | None = None
    tag: str | None = None
    kind: str | None = None
    part: str = ""
    marks: tuple[str, ...] = ()
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
    fasteners_listed: tuple[str, ...] = ()
    fitted_with: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    connections: tuple[str, ...] = ()
    mounts: tuple[str, ...] = ()
    car_side: tuple[str, ...] = ()
    pictures: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    settings: tuple[str, ...] = ()
    alterations: tuple[str, ...] = ()
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
    """The steps in order, and the jobs between them; circles; what is still on.

    `settings`, `alterations`, `care`: those that belong to no single step.
    """

    car: str
    car_id: int
    steps: tuple[Step, ...]
    jobs: tuple[JobLine, ...] = ()
    circles: tuple[Circle, ...] = ()
    still_on: tuple[StillOn, ...] = ()
    settings: tuple[str, ...] = ()
    alterations: tuple[str, ...] = ()
    care: tuple[str, ...] = ()

    @property
    def lines(self) -> Iterator[Step | JobLine]:
        """Steps and jobs, as they follow each other."""
        for number, step in enumerate((*self.steps, None), 1):
            yield from (job for job in self.jobs if job.at == number)
            if step is not None:
                yield step

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `refit plan`."""
        return {
            "car": self.car,
            "steps": [step.as_dict() for step in self.steps],
            "jobs": [job.as_dict() for job in self.jobs],
            "cycles": [circle.as_dict() for circle in self.circles],
            "still_on": [vars(each) for each in self.still_on],
            "settings": list(self.settings),
            "alterations": list(self.alterations),
            "care": list(self.care),
        }


def plan_in_order(plan: RefitPlan, said: Sequence[Before]) -> RefitPlan:
    """The plan with its steps and jobs in order, each step with its number, its state and what it waits for."""
    lines: dict[str, Step | JobLine] = {each.key: each for each in _first_order(plan)}
    order = in_order(list(lines), said)
    aside = set(order.set_aside)
    place = {key: number for number, key in enumerate(lines)}
    why: dict[str, list[str]] = defaultdict(list)
    for each in said:
        if each not in aside and each.first in lines and each.then in lines:
            later = place[each.first] > place[each.then] and not isinstance(lines[each.first], JobLine)
            why[each.then].append(f"{each.says}, though that came off later" if later else each.says)
    steps: list[Step] = []
    jobs: list[JobLine] = []
    for key in order.sequence:
        line, before = lines[key], [lines[each] for each in order.after[key]]
        if isinstance(line, JobLine):
            jobs.append(replace(line, at=len(steps) + 1))
            continue
        waits = tuple(_name(each) for each in before if not _is_done(each))
        state = line.state if line.state != WAITS else WAITS if waits else NOW
        ordered = replace(
            line,
            order=len(steps) + 1,
            group=order.group[key],
            state=state,
            after=tuple(_name(each) for each in before),
            waits_for=waits if state == WAITS else (),
            reasons=(*line.reasons, *why[key]),
        )
        steps.append(ordered)
    circles = tuple(_circle(each, lines, aside) for each in order.cycles)
    return replace(plan, steps=tuple(steps), jobs=tuple(jobs), circles=circles)


def judged_plan(plan: RefitPlan, judged: Mapping[str, PositionReady]) -> RefitPlan:
    """The plan with what stands against each part that is still to go on. `judged`: by tag."""
    steps = []
    for step in plan.steps:
        found = judged.get(step.tag) if step.tag and step.state in (NOW, WAITS) else None
        if found is None:
            steps.append(step)
            continue
        stops, notes = (tuple(each.says for each in several) for several in (found.stops, found.notes))
        reasons, last = (*step.reasons, *stops, *notes), (*step.checks, *found.last)
        steps.append(replace(step, ready=not stops, stops=stops, cautions=notes, checks=last, reasons=reasons))
    return replace(plan, steps=tuple(steps))


def _first_order(plan: RefitPlan) -> Iterator[Step | JobLine]:
    """Steps as they come in; a job just before the step it is to be done before, else after the other, else first."""
    places = {step.position for step in plan.steps}
    before: dict[str, list[JobLine]] = defaultdict(list)
    after: dict[str, list[JobLine]] = defaultdict(list)
    for job in plan.jobs:
        if job.before in places:
            before[job.before or ""].append(job)
        elif job.after in places:
            after[job.after or ""].append(job)
        else:
            yield job
    for step in plan.steps:
        yield from before.pop(step.position, ())
        yield step
        yield from after.pop(step.position, ())


def _is_done(line: Step | JobLine) -> bool:
    return line.done is not None if isinstance(line, JobLine) else line.state == ON


def _name(line: Step | JobLine) -> str:
    return line.text if isinstance(line, JobLine) else line.position


def _circle(circle: Sequence[Before], lines: Mapping[str, Step | JobLine], aside: Collection[Before]) -> Circle:
    """A circle in words. What speaks against the order of coming off is the first to look at."""
    against = list(dict.fromkeys(each.fact for each in circle if each in aside))
    if len(against) > 1:
        none = "neither" if len(against) == 2 else "none of them"
        mend = f"{' and '.join(against)}: they speak against the order of coming off, and the plan follows {none}"
    else:
        mend = f"{against[0]}: it speaks against the order in which they came off, and the plan does not follow it"
    return Circle(
        tuple(dict.fromkeys(_name(lines[each.first]) for each in circle)),
        tuple(dict.fromkeys(each.fact for each in circle)),
        tuple(f"{each.says} ({each.fact})" for each in circle),
        f"One of these facts must be wrong. Look first at {mend}. To mend it: matchmark fact correct {against[0]}",
    )
