"""One line of a refit in words: its state in the list, and all that is known of it. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from textual.content import Content

from inventory.reference.data import Reference
from inventory.refit.jobs import JobLine
from inventory.refit.plan import NOW, ON, WAITS, Step
from inventory.refit.readiness import Finding, PositionReady
from inventory.refit.words import details_of, state_words
from tui.data.refit import RefitState, key_of
from tui.safe import hanging, shown
from tui.ticks import Tick
from tui.words import clock_time, short_day

__all__ = ["job_rows", "line_name", "state_of", "step_rows", "waits_rows", "why_rows"]

_NAMES = 12
#: What should be known of every step; "not known" says that it is not.
_WANTED = ("lies", "way round", "fasteners", "connect")


def line_name(state: RefitState, line: Step | JobLine) -> str:
    """A line by its job, or its kind; by its position if several are of that kind."""
    if isinstance(line, JobLine):
        return f"job: {line.text}"
    if line.kind and line.kind != "other" and state.kinds[line.kind] == 1:
        return line.kind
    return line.position if line.position_id else f"{line.kind or ''} {line.tag or ''}".strip()


def open_waits(state: RefitState, step: Step, held: Mapping[str, Tick]) -> tuple[str, ...]:
    """What a step waits for that is neither on nor ticked."""
    return tuple(name for name in step.waits_for if not _ticked(state, name, held))


def _ticked(state: RefitState, name: str, held: Mapping[str, Tick]) -> bool:
    named = (line for line in state.lines if name == (line.text if isinstance(line, JobLine) else line.position))
    return all(held.get(key_of(line), Tick()).at for line in named)


def state_of(state: RefitState, line: Step | JobLine, held: Mapping[str, Tick]) -> str:
    """Where a line stands, in a few words."""
    tick = held.get(key_of(line), Tick())
    if tick.at:
        return f"ticked {clock_time(tick.at)}"
    if isinstance(line, JobLine):
        open_now = f"waits: {line.waits_for}" if line.waits_for else "to do"
        return f"done, {short_day(line.done)}" if line.done else open_now
    if line.state == ON:
        return f"on, {short_day(line.on)}" if line.on else "on"
    if tick.part or tick.labels:
        return "part scanned" if tick.part else "label scanned"
    ready = state.readiness(line)
    if ready is not None and ready.stops and line.state in (NOW, WAITS):
        return f"NO: {_short(ready.stops[0])}"
    waits = open_waits(state, line, held)
    if line.state == WAITS:
        jobs = {job.text for job in state.plan.jobs}
        waits = tuple(dict.fromkeys("a job" if name in jobs else name for name in waits))
        line = replace(line, state=WAITS if waits else NOW, waits_for=waits)
    numbers = {step.position: step.order for step in state.plan.steps}
    return state_words(line, numbers)


def _short(finding: Finding) -> str:
    return finding.rule.replace("-", " ")


def waits_rows(state: RefitState, chosen: Step | JobLine | None, held: Mapping[str, Tick], width: int) -> list[Content]:
    """What stops or waits, that of the chosen line first."""
    lines = [line for line in state.lines if key_of(line) not in held or not held[key_of(line)].at]
    lines.sort(key=lambda line: line is not chosen)
    rows: list[Content] = []
    for circle in state.plan.circles:
        rows += hanging(
            "   ", f"Goes round in a circle: {', then '.join((*circle.positions, circle.positions[0]))}", width
        )
    for line in lines:
        if said := _stands_against(state, line, chosen):
            lead = f"{line.order:>2} " if isinstance(line, Step) else "   "
            rows += hanging(lead, f"{line_name(state, line)}: {said}", width)
    return rows


def _stands_against(state: RefitState, line: Step | JobLine, chosen: Step | JobLine | None) -> str:
    if isinstance(line, JobLine):
        return f"waits for {line.waits_for}" if line.waits_for and not line.done else ""
    if line.state == ON:
        return ""
    if line.state not in (NOW, WAITS):
        return "; ".join(line.notes) or "no part on record for it"
    ready = state.readiness(line)
    said = [each.says for each in ready.stops] if ready else []
    if line is chosen:
        said += line.reasons
    return "; ".join(said)


def step_rows(state: RefitState, step: Step, tick: Tick, reference: Reference, width: int) -> list[Content]:
    """All that is known of a step."""
    found = details_of(replace(step, stops=(), cautions=(), notes=(), reasons=(), pictures=()))
    said = {word for word, _ in found}
    moves = bool(step.kind) and reference.kind(step.kind or "").moving_element
    missing = [word for word in _WANTED if word not in said and (word != "way round" or moves) and step.tag]
    lines = [("goes", step.position), *(each for each in found if each[0] == "lies")]
    rows = [*_rows(lines, width), *_may_it(state, step, tick, width)]
    lines = [*(each for each in found if each[0] != "lies"), *((word, "not known") for word in missing)]
    lines += [("label", f"{on}  {printed}  {_seen(printed, tick)}") for printed, on in state.labels_of(step)]
    if step.pictures:
        lines.append(("pictures", f"{len(step.pictures)}: Space D shows them"))
    lines.append(("part", step.part))
    return [*rows, *_rows(lines, width), *_notes(state, step, width), *_held(tick, width)]


def _rows(lines: Iterable[tuple[str, str]], width: int) -> list[Content]:
    return [row for name, text in lines if text for row in hanging(f"  {name:<{_NAMES}}", text, width)]


def _seen(printed: str, tick: Tick) -> str:
    return "scanned" if printed in tick.scanned else "?"


def _may_it(state: RefitState, step: Step, tick: Tick, width: int) -> list[Content]:
    """Whether the part may go on, and what stops it."""
    ready = state.readiness(step)
    if ready is None:
        return _rows(
            [("on since", short_day(step.on or "not known"))] if step.state == ON else [("part", "away")], width
        )
    noted = ready.notes or step.notes
    verdict = "NO" if ready.stops else "YES, with a note" if noted else "YES"
    lines = [("stop", each.says) for each in ready.stops]
    lines += [("against", f"advice: {tick.why}")] if tick.why else []
    return [shown(f"  may it go on?  {verdict}", "bold"), *_rows(lines, width)]


def _notes(state: RefitState, step: Step, width: int) -> list[Content]:
    """What to do just before it goes on, and what is only named."""
    ready = state.readiness(step)
    lines = [("before", each) for each in ready.last] if ready else []
    lines += [("note", each.says) for each in ready.notes] if ready else []
    return _rows([*lines, *(("note", each) for each in step.notes)], width)


def _held(tick: Tick, width: int) -> list[Content]:
    """What is held for it and not yet written."""
    said = [
        ("axis", tick.axis),
        ("fasteners", tick.fasteners),
        ("route", tick.route),
        ("other", tick.other),
        ("car side", tick.car_side),
    ]
    rows = _rows(said, width)
    return [shown("  as fitted, held", "bold"), *rows] if rows else []


def job_rows(job: JobLine, width: int) -> list[Content]:
    """A job between the steps."""
    lines = [
        ("job", job.text),
        ("before", job.before or ""),
        ("after", job.after or ""),
        ("waits for", job.waits_for or ""),
        ("done", short_day(job.done or "")),
    ]
    return _rows(lines, width)


def why_rows(step: Step, ready: PositionReady | None, width: int) -> list[Content]:
    """The reasons in full: each finding with what mends it and where the rule comes from; the order; the pictures."""
    rows: list[Content] = []
    for finding in (*ready.stops, *ready.notes) if ready else ():
        rows.append(shown(f"{finding.level.upper()}  {_short(finding)}", "bold"))
        rows += hanging("  ", finding.says, width)
        rows += hanging("  ", finding.mend, width) if finding.mend else []
        rows += hanging("  ", ", ".join((f"{finding.standing}, {finding.source}", *finding.facts)), width)
    if step.reasons:
        rows += [shown("ORDER", "bold"), *(row for each in step.reasons for row in hanging("  ", each, width))]
    if step.pictures:
        rows += [shown("PICTURES", "bold"), *(row for each in step.pictures for row in hanging("  ", each, width))]
    return rows or hanging("  ", "Nothing stands against it, and it need not wait.", width)
