"""What a sale sheet says of tests, seals and letter. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from inventory.bench.runs.ended import no_longer
from inventory.contradictions.judgements import OnPart
from inventory.contradictions.looks import Look
from inventory.facts.how_known import told_by
from inventory.papers.page import Line
from inventory.store.days.date_words import day_words

if TYPE_CHECKING:
    from inventory.bench.runs.queries import RunView

__all__ = ["STATEMENT", "TESTED", "doubt_of", "letter_line", "seal_lines", "test_line", "test_order"]

TESTED = "Each test with its figure, its day, and who made it. What is not listed here was not tested."
STATEMENT = (
    "Drawn from the seller's record on {day}. Tests and looks are what the named roles measured and saw on the days "
    "given. This sheet promises nothing about present or future condition. Its fingerprint shows that a copy is "
    "unaltered since it was written, not that it is true."
)
_VERDICTS = {"pass": "passed", "fail": "failed", "undecided": "undecided", "not judged": "not judged"}


def test_line(run: RunView, by: str) -> Line:
    """One test: outcome, day, role, the figure with its uncertainty, and what ended it."""
    verdict, told = run.judgement.verdict, run.judgement.says_why
    outcome = "fell short" if _short(run) else _VERDICTS[verdict]
    says = f"{outcome} on {day_words(run.fact.on)}, by {by}: {told}"
    if run.is_told:
        who = told_by(run.fact.how_known).removeprefix("as ")
        says = f"only {who} so: {outcome}, {day_words(run.fact.on)}: {told}"
    if run.procedure == "hold" and run.fact.values["readings"]:
        says += f"; read {', '.join(run.fact.values['readings'])}"
    if doubt := doubt_of(run.judgement.figures):
        says += f"; {doubt}"
    if run.ended is not None:
        says += f"; {no_longer(verdict, run.ended, day_words)}"
    judged = {name: value for name, value in run.judgement.as_dict().items() if name != "reasons"}
    data = {"run": run.fact.id, "on": run.fact.on, "by": by, **judged, **run.staleness()}
    keep = verdict == "fail" or _short(run)
    return Line(says, run.procedure, keep=keep, data={**data, "told": told, "says": says})


def test_order(run: RunView) -> tuple[bool, bool, bool]:
    """Fails and passes that count first, then what no longer counts, what decided nothing, what is only told."""
    verdict = run.judgement.verdict
    decided = verdict in ("pass", "fail") or _short(run)
    return run.is_told, not decided, verdict == "pass" and run.ended is not None


def _short(run: RunView) -> bool:
    """Whether it fell short on a rig that was not proved tight: no fail, but never left out."""
    return bool(run.judgement.figures.get("short_uncleared"))


def doubt_of(figures: Mapping[str, Any]) -> str:
    """The uncertainty of a run's figures, where its sentence does not give it: k = 2; of a hold bounds of 95 %."""
    low, high = figures.get("kept_share_at_limit_low"), figures.get("kept_share_at_limit_high")
    if low is not None and high is not None:
        return f"{100 * low:.0f} to {100 * high:.0f} % of the vacuum kept"
    doubts = ", ".join(_doubts(figures))
    return f"give or take {doubts}" if doubts else ""


def _doubts(figures: Mapping[str, Any]) -> Iterator[str]:
    for name, each in figures.items():
        if isinstance(each, Mapping):
            for key, unit in (("expanded_uncertainty_ohm", "ohm"), ("expanded_uncertainty", each.get("unit") or "")):
                if each.get(key) is not None:
                    yield f"{each[key]:.2g} {unit}".rstrip() + f" ({name})"


def seal_lines(on_part: OnPart, expected: Sequence[str], by: Callable[[str], str]) -> list[Line]:
    """Each seal: what it counts as, when and by whom; those that nobody looked at are named. `by`: role by fact."""
    lines = []
    for name in sorted({*expected, *on_part.seals}):
        seal = on_part.seals.get(name)
        if seal is None:
            lines.append(Line("not known: nobody noted it", name, data={"state": None}))
        else:
            look = seal.looks[-1]
            paper = ", with a paper" if look.paper else ", without a paper" if look.says == "renewed" else ""
            says = f"{look.says}{paper}, {day_words(look.on)}, {_who(look, by)}"
            lines.append(Line(says, name, data={"state": look.says, "on": look.on, "fact": look.fact}))
    return lines


def _who(look: Look, by: Callable[[str], str]) -> str:
    """Who looked; what others say is told as such."""
    if look.own:
        return f"seen by {by(look.fact)}"
    return "written in a sheet or passport" if look.written else "said by others, not our own look"


def letter_line(code: str | None, state: str | None, origin: str, is_open: bool) -> Line:
    """The letter and where it was read, or why there is none."""
    data = {"match_code": code, "match_code_state": state}
    if code is None:
        return Line(f"none read: {state}" if state else "not known: nobody noted it", "letter", data=data)
    unclear = "two readings differ, so none counts; last noted: " if is_open else ""
    return Line(f"{unclear}{code}, read from {origin}", "letter", data=data)
