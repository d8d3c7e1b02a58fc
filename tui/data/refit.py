"""Reading and writing for Refit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING

from inventory.cars.queries import car_named
from inventory.errors import Refused
from inventory.labels.queries import Belongs, belongs, stuck_on_car, what_it_is, where_it_lies
from inventory.parts import actions as parts
from inventory.parts import queries
from inventory.people.actions import acts_together
from inventory.reference.load import cautions_for
from inventory.refit import actions
from inventory.refit.jobs import JobLine
from inventory.refit.load_cars import CarToRefit, car_meant, cars_to_refit
from inventory.refit.load_hardware import hardware_to_refit
from inventory.refit.load_plan import plan_of, readiness_at_steps
from inventory.refit.load_ready import readiness_of_part
from inventory.refit.plan import RefitPlan, Step
from inventory.refit.readiness import PositionReady
from inventory.refit.write_jobs import job_done
from inventory.store.days.zone import day_of, zone_of
from tui.ticks import Tick

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = [
    "CarToRefit",
    "RefitState",
    "Written",
    "car_side",
    "cautions_in_full",
    "elsewhere",
    "key_of",
    "ready_as",
    "refit_state",
    "start",
    "to_buy",
    "write_ticks",
]


@dataclass(frozen=True)
class RefitState:
    """The plan of a car; how ready each part is, and its car-side labels with what each is on, by its tag."""

    plan: RefitPlan
    ready: Mapping[str, PositionReady]
    labels: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)

    @property
    def lines(self) -> tuple[Step | JobLine, ...]:
        """The steps, and the jobs between them."""
        return tuple(self.plan.lines)

    @cached_property
    def kinds(self) -> Counter[str]:
        """How many steps there are of each kind."""
        return Counter(step.kind for step in self.plan.steps if step.kind)

    def readiness(self, step: Step) -> PositionReady | None:
        """How ready a step's part is; None if it is on, or nobody knows it."""
        return self.ready.get(step.tag or "")

    def labels_of(self, step: Step) -> tuple[tuple[str, str], ...]:
        """The car-side labels of a step's part, as printed, each with what it is on."""
        return self.labels.get(step.tag or "", ())


@dataclass(frozen=True)
class Written:
    """What `done` wrote: how many fittings and jobs; the parts put on against advice, and those on by then."""

    fittings: int
    jobs: int
    against: tuple[str, ...]
    on_already: tuple[str, ...] = ()


def key_of(line: Step | JobLine) -> str:
    """By what a line's tick is held: the part's tag or the job's id; "" for what cannot be ticked."""
    return line.key if isinstance(line, JobLine) else line.tag or ""


def start(session: Session, of: str) -> tuple[tuple[CarToRefit, ...], str]:
    """The cars with something to put back on; and the one that `of` means, a car or the tag of a part."""
    return cars_to_refit(session), car_meant(session, of)


def refit_state(session: Session, car: str) -> RefitState:
    """The plan of a car, with how ready each part is, and the labels on the car side."""
    plan = plan_of(session, car_named(session, car).id)
    tags = {step.part_id: step.tag for step in plan.steps if step.part_id and step.tag}
    stuck = stuck_on_car(session, tags)
    labels = {tags[key]: tuple((code.printed, on) for code, on in found) for key, found in stuck.items()}
    return RefitState(plan, readiness_at_steps(session, plan), labels)


def ready_as(session: Session, car: str, step: Step, axis: str) -> PositionReady:
    """How ready a step's part is if it lies along this axis."""
    part, car_id = queries.part_row(session, step.tag or ""), car_named(session, car).id
    return readiness_of_part(session, part, car_id, step.position_id, step.position, axis=axis)


def car_side(session: Session, tag: str, scanned: str) -> Belongs:
    """Whether a label scanned on the car belongs to a part."""
    return belongs(session, tag, scanned)


def elsewhere(session: Session, label: str) -> str:
    """What a label is on that is in no step of this plan, and where that part is."""
    try:
        (line,) = queries.lines(session, [queries.part_row(session, label).id])
    except Refused as refused:
        unused = f"{label} is on no part yet: a label that was never used, or the wrong one."
        return f"{refused.message}." if refused.near else unused
    lies = where_it_lies(line)
    where = "Where it lies is not noted" if lies == "no place noted" else f"It is {lies}"
    return f"{what_it_is(line)} has no step here. {where}. To put it on here: matchmark refit assign {line.tag} ..."


def to_buy(session: Session, car: str) -> tuple[str, ...]:
    """What must be bought for this car, then what it needs and where that lies; a line each."""
    _, lines = hardware_to_refit(session, car)
    buy = [
        f"{'LOOK' if each.look_first else 'BUY'}  {each.to_buy} x {each.item.spec}, for {each.needed_for}"
        for each in sorted(lines, key=lambda each: each.look_first)
        if each.to_buy
    ]
    have = [
        f"{each.needed} x {each.item.spec}, for {each.needed_for}: "
        + ", ".join(f"{stock.place} has {count}" for stock, count, _ in each.places)
        for each in lines
        if each.needed and each.places
    ]
    flagged = [f"{each.item.spec}: {'; '.join(each.flags)}" for each in lines if each.needed and each.flags]
    return (*(buy or ["Nothing must be bought, by what was logged."]), *have, *flagged)


def cautions_in_full(kind: str, named: str) -> tuple[str, ...]:
    """The cautions for putting back one kind, and for the whole car, with their sources."""
    return tuple(f"CARE  {each.text} ({each.standing}, {each.source})" for each in cautions_for("refit", kind, named))


def write_ticks(session: Session, by: str, plan: RefitPlan, ticks: Sequence[tuple[Step | JobLine, Tick]]) -> Written:
    """Write each ticked line, in one go: they are taken back together."""
    against, zone = [], zone_of(session)
    parts_of = [queries.part_row(session, line.tag).id for line, _ in ticks if isinstance(line, Step) and line.tag]
    on_already = tuple(part.tag for part in queries.lines(session, parts_of) if part.fitted)
    with acts_together(session):
        for line, tick in ticks:
            day = day_of(datetime.fromisoformat(tick.at), zone).isoformat()
            if isinstance(line, JobLine):
                job_done(session, by, line.key, on=day)
                continue
            tag = line.tag or ""
            if tag in on_already:  # by somebody else, since the plan was read
                continue
            actions.fit(
                session,
                by,
                tag,
                tick.position or line.position,
                car=plan.car,
                override=tick.why or None,
                axis=tick.axis or None,
                fasteners=tick.fasteners or None,
                car_side=tick.labels or tick.car_side or None,
                on=day,
            )
            against += [tag] if tick.why else []
            if tick.remark:
                parts.note(session, by, tag, f"refitted differently: {tick.remark}", on=day)
    jobs = sum(isinstance(line, JobLine) for line, _ in ticks)
    return Written(len(ticks) - jobs - len(on_already), jobs, tuple(against), on_already)
