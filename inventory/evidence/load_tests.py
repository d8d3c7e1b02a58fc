"""The tests and events of one part, from its facts and runs on record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from inventory.bench.runs.queries import RunView
from inventory.bench.verdicts import Verdict
from inventory.evidence.claims import NOT_KNOWN, Claimed, claim_as_test
from inventory.evidence.contradicting import Settling
from inventory.evidence.inputs import CAUSES_CHECKED, OPEN_WINDING, SHORT_UNCLEARED, SPECIALIST, Event, TestEvidence
from inventory.evidence.judgements import seal_verdict
from inventory.evidence.load_facts import EvidenceFact, PartFacts
from inventory.evidence.mending import REPORT, is_specialist, mendings_of
from inventory.evidence.mixtures import mixture_verdict
from inventory.facts.how_known import told_by
from inventory.facts.views import FactView
from inventory.reference.modes import FailureData

__all__ = ["events_of", "settlings_of", "tests_of"]

_CASE = "case"
_Order = Mapping[str, int]


def tests_of(kind: str, facts: PartFacts, data: FailureData) -> tuple[TestEvidence, ...]:
    """All tests of a part: its runs, mixtures on a car, looks at seals, claims."""
    order = _recorded_order(facts)
    repairs = [event for event in _work(facts, order, data) if event.by_specialist]
    settings = _settings(facts.runs)
    return (
        *(
            _told_run(kind, run, order, data)
            if run.is_told
            else _run_test(run, order, data, settings.get(run.fact.id, ""))
            for run in facts.runs
        ),
        *(_mixture_test(run, facts.tag, order, data) for run in facts.mixtures),
        *(_seal_test(fact, order, data, repairs) for fact in facts.seals),
        *(_claim_test(kind, fact, order, data, repairs) for fact in facts.claims),
    )


def events_of(facts: PartFacts, data: FailureData) -> tuple[Event, ...]:
    """All that happened to a part: work, mishaps, removals, cleaning between two runs."""
    order = _recorded_order(facts)
    return (
        *_work(facts, order, data),
        *(Event(fact.values["mishap"], fact.on, **_times(fact, order)) for fact in facts.mishaps),
        *(Event("taken off a car", fact.on, stales=False, **_times(fact, order)) for fact in facts.removals),
        *_cleaned_before(facts.runs, order),
    )


def settlings_of(facts: PartFacts) -> tuple[Settling, ...]:
    """What settles tests of a part, oldest first."""
    order = _recorded_order(facts)
    found = [
        Settling(
            Event("settled", fact.on, stales=False, **_times(fact, order)),
            fact.values["about"],
            fact.values["answer"],
            fact.values["says"],
            fact.values["document"] is not None,
        )
        for fact in facts.settlements
    ]
    return tuple(sorted(found, key=lambda each: (each.at.bounds[1], each.at.order)))


def _work(facts: PartFacts, order: _Order, data: FailureData) -> Iterator[Event]:
    """The work on the unit itself, work outside that could mend something, and specialists' papers without work."""
    set_on = {_days(fact) for fact in facts.settings}
    papers = {_days(fact) for fact in facts.attachments if fact.values["shows"] == "paper"}
    sealed_on = {_days(fact) for fact in facts.seals if _renewed_with_paper(fact)}
    shown_on = {_days(fact) for fact in facts.attachments}
    for fact in facts.work:
        what, outside = fact.values["what"], fact.values["area"] != "on the unit"
        text, days = f"{what} {fact.values['product'] or ''}", _days(fact)
        by_paper = days in set_on or (days in papers and is_specialist(text, data))
        by_paper |= days in sealed_on and not outside
        shown = SPECIALIST if by_paper else REPORT if days in shown_on else ""
        mends = mendings_of(text, shown, data, outside=outside)
        if (days in set_on or days in sealed_on) and not outside:
            mends |= {SPECIALIST}
        if mends or not outside:
            yield Event(what, fact.on, stales=not outside, mends=mends, **_times(fact, order))
    worked_on = {_days(fact) for fact in facts.work if fact.values["area"] == "on the unit"}
    for fact in facts.settings:
        if _days(fact) not in worked_on:
            times = _times(fact, order)
            of_day = [
                order[run.fact.id] - 1 for run in facts.runs if (run.fact.earliest, run.fact.latest) == _days(fact)
            ]
            times["order"] = min([times["order"], *of_day])  # set elsewhere, before we could measure it that day
            yield Event("set by a specialist", fact.on, mends=frozenset({SPECIALIST}), **times)


def _cleaned_before(runs: Sequence[RunView], order: _Order) -> Iterator[Event]:
    """Cleaning that a run itself speaks of (`cleaned after`), just before that run."""
    for run in runs:
        if str(run.fact.values["conditions"].get("cleaned", "")).casefold() == "after":
            times = {**_times(run.fact, order), "order": order[run.fact.id] - 1}
            yield Event("cleaned", run.fact.on, stales=False, mends=frozenset({"cleaning"}), **times)


def _settings(runs: Sequence[RunView]) -> dict[str, str]:
    """What was set for the opening times on a simulator, by fact: the same words for settings that count as alike."""
    pulses = [run for run in runs if run.procedure == "pulse" and "settings" in run.judgement.figures]
    if not pulses:
        return {}
    from inventory.bench.methods.sweep.pulse import apart_of
    from inventory.bench.methods.sweep.pulse_judgement import Setting, set_alike

    found: dict[str, str] = {}
    known: dict[str, dict[str, Setting | None]] = {}
    for run in pulses:
        noted: Any = run.judgement.figures["settings"]
        mine = {name: None if at is None else Setting(**at) for name, at in noted.items()}
        apart = apart_of(run.context.data.procedure(run.procedure))
        alike = (words for words, its in known.items() if all(set_alike(mine[name], its[name], apart) for name in mine))
        words = ", ".join(f"{name} {at.shown}" for name, at in mine.items() if at is not None)
        found[run.fact.id] = next(alike, words)
        known.setdefault(found[run.fact.id], mine)
    return found


def _run_test(run: RunView, order: _Order, data: FailureData, setting: str) -> TestEvidence:
    judged = run.judgement
    what, weight, why = _measured(run)
    figures = judged.figures if not judged.doubtful else {}
    counts_as = ""
    if judged.verdict == "undecided" and figures.get("short_uncleared") is True:
        counts_as = SHORT_UNCLEARED
    elif judged.verdict == "fail" and _open_winding(run, data):
        counts_as = OPEN_WINDING
    kept = [figures.get(f"kept_share_at_limit{end}") for end in ("", "_low", "_high")]
    return TestEvidence(
        what,
        run.fact.on,
        judged.verdict,
        weight,
        why=why,
        counts_as=counts_as,
        kept=(kept[0], kept[1], kept[2]) if what == "hold" and None not in kept else None,  # type: ignore[arg-type]
        setting=setting,
        readings=_readings(run, what),
        **_times(run.fact, order),
    )


def _told_run(kind: str, run: RunView, order: _Order, data: FailureData) -> TestEvidence:
    """A run that only a sheet or passport tells, and nobody's by name: a claim of somebody not known, without proof."""
    what, _, _ = _measured(run)
    claimed = Claimed(what, what, came_out=run.judgement.verdict)
    test = claim_as_test(kind, claimed, data, when=run.fact.on, **_times(run.fact, order))
    return replace(test, claim=f"{what}: {run.judgement.verdict}, {told_by(run.fact.how_known)}")


def _readings(run: RunView, what: str) -> frozenset[str]:
    """The readings by name that came out as the whole run did; empty for a test that is not read by name."""
    if what != run.procedure or what == "curve":
        return frozenset()
    names = {name for name, _ in run.context.data.procedure(what).typed_readings(run.context.kind)}
    judged = ((name, run.judgement.figures.get(name)) for name in names)
    found = {name: figure.get("verdict") for name, figure in judged if isinstance(figure, Mapping)}
    return frozenset(name for name, verdict in found.items() if verdict == run.judgement.verdict)


def _measured(run: RunView) -> tuple[str, float, str]:
    """The test that a run was by what was measured, its weight, and why it is less than the whole.

    With the case alone a resistance test is one of insulation, and without it still one of all windings. A fail counts
    in full, whatever was left out.
    """
    covers, whole = run.judgement.covers, run.judgement.whole
    if run.judgement.verdict not in ("pass", "fail") or covers is None:
        return run.procedure, 1.0, ""
    if run.procedure == "resistance":
        if covers == (_CASE,):
            return "insulation", 1.0, "only the insulation was measured"
        covers, whole = tuple(name for name in covers if name != _CASE), whole - 1
    if run.judgement.verdict == "fail" or len(covers) >= whole:
        return run.procedure, 1.0, ""
    return run.procedure, len(covers) / whole, f"only measured: {', '.join(covers)}"


def _open_winding(run: RunView, data: FailureData) -> bool:
    """Whether a winding or an element reads open."""
    if run.procedure not in ("resistance", "curve"):
        return False
    bounds = [
        figure.get("at_least_ohm")
        for figure in run.judgement.figures.values()
        if isinstance(figure, Mapping) and figure.get("verdict") == "fail"
    ]
    return any(bound is not None and bound >= data.figures["open from"].value for bound in bounds)


def _mixture_test(run: RunView, tag: str, order: _Order, data: FailureData) -> TestEvidence:
    """A mixture on the car as a test of the pair: cruise and full load count, idle alone does not."""
    verdict: Verdict = "undecided" if run.judgement.doubtful else mixture_verdict(run.judgement.figures)
    noted = str(run.fact.values["conditions"].get("checked", "")).casefold()
    unchecked = [] if noted == "all" else [cause for cause in data.mixture_causes if cause not in noted]
    pair = run.context.pair
    why = pair.says if pair is not None else ""
    if unchecked:
        why = f"{why}; not noted as checked that day: {', '.join(unchecked)}"
    counts_as = "" if unchecked else CAUSES_CHECKED
    mate = next((each for each in (pair.sensor, pair.unit) if each and each != tag), "") if pair is not None else ""
    times = _times(run.fact, order)
    return TestEvidence("mixture", run.fact.on, verdict, why=why, counts_as=counts_as, mate=mate, **times)


def _renewed_with_paper(fact: EvidenceFact) -> bool:
    return fact.values["state"] == "renewed" and fact.values["document"] is not None


def _seal_test(fact: EvidenceFact, order: _Order, data: FailureData, repairs: Sequence[Event]) -> TestEvidence:
    """A look at a seal as a test. A seal that a specialist renewed was put on after his work of that day.

    That one is intact, if only somebody else or a sheet says so, weighs what such a word weighs.
    """
    verdict = seal_verdict(fact.values["state"], has_document=fact.values["document"] is not None)
    times, told = _times(fact, order), ""
    if _renewed_with_paper(fact):
        times["order"], told = _after_repair(fact, times["order"], repairs), "was renewed, with a paper"
    if verdict == "pass" and not fact.values["own"]:
        weight = data.claim_source[NOT_KNOWN] * data.claim_proof["none"]
        times |= {"weight": weight, "claim": f"{fact.values['seal']} {fact.values['state']}, not by our own look"}
        told = told or f"is said to be {fact.values['state']}"
    on = "on a day not known" if fact.on.startswith("../") else fact.on
    return TestEvidence(f"seal {fact.values['seal']}", on, verdict, told=told, **times)


def _claim_test(
    kind: str, fact: EvidenceFact, order: _Order, data: FailureData, repairs: Sequence[Event]
) -> TestEvidence:
    """A claim as a test. What a specialist's paper says of the day of his repair was measured after it."""
    claimed = Claimed(**{**fact.values, "test": fact.values["test"] or ""})
    times = _times(fact, order)
    if claimed.source == "specialist" and claimed.proof == SPECIALIST:
        times["order"] = _after_repair(fact, times["order"], repairs)
    return claim_as_test(kind, claimed, data, when=fact.on, **times)


def _after_repair(fact: EvidenceFact, place: int, repairs: Sequence[Event]) -> int:
    return max([place, *(event.order + 1 for event in repairs if event.bounds == _days(fact))])


def _days(fact: EvidenceFact) -> tuple[str, str]:
    return fact.earliest, fact.latest


def _recorded_order(facts: PartFacts) -> dict[str, int]:
    """The place of each fact in the order of recording: even numbers, so that something fits between two."""
    in_order = sorted(facts.every, key=lambda fact: (fact.ranked, fact.id))
    return {fact.id: 2 * place for place, fact in enumerate(in_order)}


def _times(fact: FactView | EvidenceFact, order: _Order) -> dict[str, Any]:
    return {"fact": fact.id, "earliest": fact.earliest, "latest": fact.latest, "order": order[fact.id]}
