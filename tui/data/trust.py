"""The section Trust of a card: the judgements on a part, one line each, with the steps of their reasons."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from inventory.bench.quantities.readings import parse_timed
from inventory.bench.runs.ended import Ended, verdict_in_words
from inventory.bench.runs.queries import RunView
from inventory.errors import Refused
from inventory.evidence.queries import Evidence
from inventory.facts.how_known import told_by
from inventory.facts.views import FactView
from inventory.pairing.candidate import PAIRED_KINDS
from inventory.pairing.queries import mates, why_no_mate
from inventory.parts.queries import PartLine, part_row
from inventory.reference.data import Reference, reference_of
from inventory.refit.load_ready import readiness_of_part
from tui.data.drawn import sweep_curve
from tui.data.entries import Curve, Entry, Step, reason_lines, source_words
from tui.words import short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.bench.judgements import RunJudgement
    from inventory.contradictions.looks import Contradiction
    from inventory.pairing.judgements import PairJudgement

__all__ = ["curve_of", "run_entry", "trust_entries", "verdict_line"]


def trust_entries(
    session: Session,
    line: PartLine,
    standing: Sequence[FactView],
    evidence: Evidence,
    remarks: Iterable[Contradiction] = (),
) -> tuple[Entry, ...]:
    """What does not fit, seals, tests, serviceability, mate, condition, worth: those that apply to its kind."""
    return (
        *(_does_not_fit(each) for each in (*evidence.contradictions, *remarks)),
        _seals(line, standing, evidence, reference_of(session)),
        *_tests(evidence),
        _serviceable(evidence),
        *_goes_with(session, line),
        *_ready(session, line, evidence),
        _condition(line, standing),
        _worth(standing),
    )


def run_entry(run: RunView, name: str) -> Entry:
    """A bench run: its verdict and sentence; then the reasons; then the readings as typed."""
    judgement = run.judgement
    why = tuple(line for reason in judgement.reasons[:1] for line in reason_lines(reason))
    more = tuple(line for reason in judgement.reasons[1:] for line in reason_lines(reason))
    typed = (
        f"{run.fact.id}: as typed {', '.join(map(str, run.fact.values['readings']))}",
        *(f"{word}: {_plain(value)}" for word, value in run.fact.values["conditions"].items()),
        source_words(run.fact),
    )
    steps = (
        Step(why or (judgement.says,), curve_of(run.procedure, run.fact.values["readings"], judgement.figures)),
        *((Step(more),) if more else ()),
        Step(typed),
    )
    told = f"{told_by(run.fact.how_known)}, " if run.is_told else ""
    return Entry(name, f"{told}{verdict_line(judgement, run.ended)}", steps)


def verdict_line(judgement: RunJudgement, ended: Ended | None = None) -> str:
    """The verdict in capitals, what ended it, then its sentence without the verdict."""
    verdict = verdict_in_words(judgement.verdict, ended, short_day)
    return f"{verdict}  {judgement.says_why}"


def _tests(evidence: Evidence) -> tuple[Entry, ...]:
    """The last run of each procedure."""
    latest = {run.procedure: run for run in evidence.runs}
    return tuple(run_entry(run, _called(name, run.context.data)) for name, run in latest.items())


def _called(name: str, reference: Reference) -> str:
    """A procedure's title; its name if the procedure is no longer on file."""
    try:
        title = reference.procedure(name).title
    except Refused:
        title = name
    return title[:1].upper() + title[1:]


def curve_of(procedure: str, readings: Sequence[str], figures: Mapping[str, object]) -> Curve | None:
    """The curve of a hold (if its readings have one unit) or of a sweep with its reference; else None."""
    if procedure == "sweep":
        return sweep_curve(figures)
    if procedure != "hold":
        return None
    try:
        points = parse_timed(readings)
    except Refused:
        return None
    if len(points) < 2 or len({point.quantity.unit for point in points}) != 1:
        return None
    clock = figures.get("clock_from_s")
    since = float(clock) if isinstance(clock, int | float) else points[0].time_s
    start = next((point.quantity.value for point in points if point.time_s >= since), points[0].quantity.value)
    wanted = _two(figures, "limit_time_s", "limit_share")
    between = _two(figures, "kept_share_at_limit_low", "kept_share_at_limit_high")
    return Curve(
        points=tuple((point.time_s, point.quantity.value) for point in points),
        unit=points[0].quantity.unit,
        limit=(since + wanted[0], start * wanted[1]) if wanted else None,
        band=(start * between[0], start * between[1]) if between else None,
    )


def _two(figures: Mapping[str, object], one: str, other: str) -> tuple[float, float] | None:
    """Two figures; None unless both are known."""
    first, second = figures.get(one), figures.get(other)
    if isinstance(first, int | float) and isinstance(second, int | float):
        return float(first), float(second)
    return None


def _plain(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _serviceable(evidence: Evidence) -> Entry:
    judged = evidence.serviceability
    modes = tuple(
        f"{mode.mode}: {mode.share:.0%} of the faults; these tests would have shown {mode.revealed:.0%}"
        for mode in judged.modes
    )
    tests = tuple(
        f"{test.what}, {short_day(test.when)}: weight {test.weight:g}{', stale' if test.stale else ''}"
        for test in judged.tests
    )
    steps = (
        Step((evidence.next_says, *(line for reason in judged.reasons for line in reason_lines(reason)))),
        Step((f"Likely serviceable: {judged.p_serviceable:.0%}. Tests so far cover {judged.coverage:.0%}.", *modes)),
        *((Step(tests),) if tests else ()),
    )
    return Entry("Serviceable?", judged.says, steps)


def _goes_with(session: Session, line: PartLine) -> tuple[Entry, ...]:
    if line.kind not in PAIRED_KINDS:
        return ()
    found = mates(session, line.tag)
    if not found:
        return (Entry("Goes with", why_no_mate(session, line.tag)[0]),)
    best, *others = found
    steps = [
        Step((f"{best.grade.capitalize()}: {best.says}", f"Next: {best.next_step}")),
        Step(tuple(text for reason in best.reasons for text in reason_lines(reason))),
    ]
    if others:
        steps.append(Step(tuple(f"{_mate(pair, line.tag)}: {pair.grade}, {pair.says}" for pair in others[:6])))
    return (Entry("Goes with", f"{_mate(best, line.tag)}  {best.grade.upper()}  {best.says}", tuple(steps)),)


def _ready(session: Session, line: PartLine, evidence: Evidence) -> tuple[Entry, ...]:
    """Whether a part that came off a car may go back on it."""
    part = part_row(session, line.tag)
    if line.fitted or line.gone or part.car_id is None:
        return ()
    ready = readiness_of_part(session, part, part.car_id, part.position_id, line.position or "", evidence=evidence)
    words = [f"stop: {each.says}" for each in ready.stops] + [f"note: {each.says}" for each in ready.notes]
    steps = tuple(
        Step(
            (
                each.says,
                f"  To mend it: {each.mend}",
                f"  Rule: {each.rule}. {each.standing.capitalize()}, {each.source}",
            )
        )
        for each in (*ready.stops, *ready.notes)
    )
    return (Entry("May go on?", "  ".join(["NO" if ready.stops else "YES", "; ".join(words)]).rstrip(), steps),)


def _mate(pair: PairJudgement, tag: str) -> str:
    return pair.unit if pair.sensor == tag else pair.sensor


def _does_not_fit(found: Contradiction) -> Entry:
    """A contradiction, and its facts; an open one is settled with Enter."""
    facts = f"facts: {', '.join(found.facts)}"
    return Entry(
        "Does not fit",
        f"{found.says}{'. Enter: what settles it' if found.open else ''}",
        (Step((facts,)),),
        "settle" if found.open else "",
    )


def _seals(line: PartLine, standing: Iterable[FactView], evidence: Evidence, reference: Reference) -> Entry:
    seen = [fact for fact in standing if fact.table == "seal_sighting"]
    by_id = {fact.id: fact for fact in standing}
    latest = {str(look.values["seal"]): by_id[look.id] for look in evidence.seals if look.id in by_id}
    says = {str(look.values["seal"]): str(look.values["state"]) for look in evidence.seals}
    known = reference.kind(line.kind).seals if line.kind else ()
    never = [seal for seal in known if seal not in latest]
    whose = {seal: told_by(fact.how_known) or fact.by for seal, fact in latest.items()}
    parts = [f"{seal} {says[seal]}, {short_day(fact.on)}, {whose[seal]}" for seal, fact in latest.items()]
    if never:
        parts.append(f"never noted: {', '.join(never)}")
    looks = tuple(f"{fact.id}: {fact.says} ({source_words(fact)})" for fact in seen)
    steps = (
        Step((f"All seals: {line.seal_state}. The worst counts; a broken one stays so until renewed or settled.",)),
        Step(looks or ("No seal is on record. Space N notes one.",)),
    )
    return Entry("Seals", ".  ".join(parts) or "this kind has none", steps)


def _condition(line: PartLine, standing: Iterable[FactView]) -> Entry:
    looks = [fact for fact in standing if fact.table == "assessment"]
    damage = next((str(fact.values["damage"]) for fact in reversed(looks) if fact.values["damage"]), "")
    text = f"{line.condition} of 0-3" if line.condition is not None else "not assessed"
    steps = (
        Step(("Four classes; 0 is the best. They are taken from the standard for built heritage (EN 16096).",)),
        Step(tuple(f"{fact.id}: {fact.says} ({source_words(fact)})" for fact in looks) or ("Not assessed yet.",)),
    )
    return Entry("Condition", f"{text}{f': {damage}' if damage else ''}", steps)


def _worth(standing: Iterable[FactView]) -> Entry:
    values = [fact for fact in standing if fact.table == "valuation"]
    if not values:
        return Entry("Worth", 'no value noted; a list will say "no value stated"')
    last = values[-1]
    steps = (Step(tuple(f"{fact.id}: {fact.says} ({source_words(fact)})" for fact in reversed(values))),)
    return Entry("Worth", f"{last.says}, {short_day(last.on)}", steps)
