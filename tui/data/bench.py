"""Reading and writing for Bench: the tests of a part's kind, what a run would prove, recording a run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.bench import actions
from inventory.bench.conditions import Condition, condition
from inventory.bench.judgements import allowed_conditions, check, judge
from inventory.bench.missing_units import with_units
from inventory.bench.runs.ended import verdict_in_words
from inventory.bench.runs.load_contexts import UnsavedRun, contexts
from inventory.bench.runs.queries import RunView, runs_of, undecided, units_in_doubt
from inventory.bench.typed_run import RunContext, TypedRun
from inventory.errors import Refused
from inventory.parts import queries
from inventory.reference.load import caution
from inventory.store.days.zone import today_in
from tui.data.entries import Curve, Step
from tui.data.trust import curve_of, verdict_line
from tui.words import listed, short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.bench.one_prefix_up import OneUp
    from tui.measuring import Measuring

__all__ = [
    "Instructions",
    "LiveVerdict",
    "OnBench",
    "Test",
    "Undecided",
    "as_step",
    "in_doubt",
    "instructions_for",
    "live_verdict",
    "on_bench",
    "refusal",
    "undecided_runs",
    "write_down",
]


@dataclass(frozen=True)
class Undecided:
    """An undecided run: its part, and its sentence."""

    tag: str
    says: str


@dataclass(frozen=True)
class Test:
    """One test of a part's kind: its name, its title, and its last result."""

    __test__ = False

    name: str
    title: str
    last: str


@dataclass(frozen=True)
class OnBench:
    """A part on the bench: its tag, what it is, the tests of its kind, and the context that judges its runs."""

    tag: str
    kind: str
    head: str
    tests: tuple[Test, ...]
    context: RunContext


@dataclass(frozen=True)
class Instructions:
    """One test in the trade's words: what it shows, its steps, the readings asked by name with their units, what may
    be noted beside them, and its cares as (line, in full)."""

    name: str
    title: str
    shows: str
    reads: str
    steps: tuple[str, ...]
    names: tuple[tuple[str, str], ...]
    beside: tuple[Condition, ...]
    cares: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class LiveVerdict:
    """The verdict on the readings so far: the sentence, the curve, the reasons."""

    says: str
    curve: Curve | None
    reasons: tuple[str, ...]


def undecided_runs(session: Session) -> tuple[Undecided, ...]:
    """Undecided runs, newest first."""
    return tuple(Undecided(tag, f"{run.procedure}: {run.judgement.says}") for tag, run in undecided(session))


def on_bench(session: Session, tag: str) -> OnBench:
    """A part and the tests of its kind, in the order to do them."""
    part = queries.part_row(session, tag)
    kind = part.kind or "other"
    last = {run.procedure: run for run in runs_of(session, part.id) if not run.of_rig_alone}
    now = today_in(session).isoformat()
    (context,) = contexts(session, [UnsavedRun(part.id, now, now, {"procedure": "", "readings": [], "conditions": {}})])
    procedures = context.data.procedures_for(kind)
    tests = tuple(Test(each.name, each.title, _came_out(last.get(each.name))) for each in procedures)
    number = listed(kind.upper(), part.maker, part.part_number, f"serial {part.serial}" if part.serial else None)
    return OnBench(part.tag, kind, number, tests, context)


def instructions_for(name: str, part: OnBench) -> Instructions:
    """One test as it is done to a part."""
    found, kind = part.context.data.procedure(name), part.kind
    cares = tuple(caution(each) for each in found.cautions_of(kind))
    return Instructions(
        name=found.name,
        title=found.title,
        shows=found.shows,
        reads=found.reads,
        steps=found.steps,
        names=found.typed_readings(kind),
        beside=tuple(each for each in map(condition, allowed_conditions(found)) if each is not None),
        cares=tuple((each.line, each.in_full) for each in cares),
    )


def live_verdict(session: Session, tag: str, measured: Measuring, typed: str) -> LiveVerdict | None:
    """Judge the readings so far, with the one being typed. Writes nothing.

    The typed text counts as soon as it can be read. None if nothing can be read yet.
    """
    part, name = queries.part_row(session, tag), measured.procedure
    day = today_in(session).isoformat()
    for whole in (measured.with_typed(typed), measured) if typed.strip() else (measured,):
        values = {"procedure": name, "readings": whole.readings, "conditions": whole.conditions()}
        (context,) = contexts(session, [UnsavedRun(part.id, day, day, values)])
        if not whole.readings or refusal(context, whole):
            continue
        run = with_units(TypedRun.of(values), context)
        judgement = judge(run, context)
        curve = curve_of(name, run.readings, judgement.figures)
        return LiveVerdict(verdict_line(judgement), curve, tuple(reason.says for reason in judgement.reasons))
    return None


def refusal(context: RunContext, measured: Measuring) -> Refused | None:
    """Why the run so far cannot be read; None if it can. A blank without readings is read as readings are."""
    blank = measured.beside.get("blank", ())
    if not (measured.readings or blank):
        return None
    readings, noted = (measured.readings, measured.conditions()) if measured.readings else (blank, {})
    try:
        check(with_units(TypedRun(measured.procedure, tuple(readings), noted), context), context)
    except Refused as refused:
        return refused
    return None


def in_doubt(session: Session, tag: str, measured: Measuring) -> OneUp | None:
    """The first reading typed without a unit that fails as taken and would pass one prefix up."""
    return next(
        iter(units_in_doubt(session, tag, measured.procedure, measured.as_typed(), measured.conditions())), None
    )


def write_down(session: Session, by: str, tag: str, measured: Measuring) -> str:
    """Record the run; return its verdict in a few words."""
    done = actions.run(session, by, tag, measured.procedure, list(measured.readings), measured.conditions())
    verdict = verdict_in_words(done.judgement.verdict, done.ended, short_day)
    return f"{tag}, {done.context.data.procedure(measured.procedure).title}: {verdict}"


def as_step(curve: Curve) -> Step:
    """A step that contains only a curve."""
    return Step((), curve)


def _came_out(run: RunView | None) -> str:
    return f"{verdict_line(run.judgement, run.ended)} ({short_day(run.fact.on)})" if run else "not done yet"
