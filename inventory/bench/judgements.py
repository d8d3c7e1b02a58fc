"""Judges a bench run: typed text in, verdict and reasons out. Every run is judged here.

`check` refuses unreadable text before anything is stored; `judge` says what the run proves. Only the typed text of a
run is kept, so a better rule also judges old runs. The reference data name the method of each procedure; the module
of a method reads the text (`read`, which may refuse) and judges its meaning (`judge`).
"""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from typing import Any, Protocol, cast

from inventory.bench.conditions import condition
from inventory.bench.instruments.instrument_defaults import instrument_defaults, with_doubts
from inventory.bench.methods.limits.loom import judge_at_plug, judge_wiring
from inventory.bench.typed_run import RunContext, TypedRun, TypedWords
from inventory.bench.verdicts import RunJudgement, Verdict
from inventory.errors import Refused
from inventory.reasons import WORKSHOP, Reason
from inventory.reference.data import Reference
from inventory.reference.procedure import Procedure

__all__ = ["RunJudgement", "Verdict", "allowed_conditions", "check", "judge", "procedure_for"]

#: method -> its module, imported when a run of it is read: fits and tables cost up to a second.
_METHODS = {
    "curve": "inventory.bench.methods.thermistor.run",
    "hold": "inventory.bench.methods.hold.run",
    "limits": "inventory.bench.methods.limits.run",
    "pulse": "inventory.bench.methods.sweep.pulse",
    "resistance": "inventory.bench.methods.resistance.run",
    "sweep": "inventory.bench.methods.sweep.run",
}

#: Methods whose readings may be taken at the part or at the control unit's plug.
_EITHER_END = ("resistance", "curve")


class _Method(Protocol):
    """The interface of a method's module. `CONDITIONS` names the conditions it uses."""

    CONDITIONS: tuple[str, ...]

    def read(self, words: TypedWords) -> Any: ...

    def judge(self, given: Any) -> RunJudgement: ...


def check(run: TypedRun, context: RunContext) -> None:
    """Read everything typed for a run. Raises `Refused` for the first text that cannot be read."""
    words = _typed_words(run, context)
    _method(words.procedure).read(words)


def judge(run: TypedRun, context: RunContext) -> RunJudgement:
    """What a run proves, given its context.

    Never raises. A run on record that can no longer be read (its part turned out to be of another kind, say) gets the
    verdict "not judged", with the sentence of the refusal.
    """
    found = _judged(run, context)
    taken = context.data.taken
    if taken is None:
        return found
    rule = "a run is judged by the limits that are in force on the day asked about, whenever it was made"
    by = Reason(f"judged by {context.data.limits}", rule, context.data.file, WORKSHOP, (taken.fact,))
    return replace(found, reasons=(*found.reasons, by))


def _judged(run: TypedRun, context: RunContext) -> RunJudgement:
    try:
        words = _typed_words(run, context)
        method = _method(words.procedure)
        given = method.read(words)
    except Refused as refusal:
        rule = "a run is judged only if all of it can be read"
        reason = Reason(refusal.message, rule, "no source", WORKSHOP)
        return RunJudgement("not judged", f"not judged: {refusal.message}", {}, (reason,))
    found = with_doubts(method.judge(given), words)
    if words.procedure.wiring:
        return judge_wiring(found, words.procedure.wiring)
    return judge_at_plug(found) if words.measured_at() == "plug" else found


def procedure_for(data: Reference, procedure_name: str, kind: str) -> Procedure:
    """The procedure of that name. Raises `Refused` if it does not apply to that kind of part."""
    proc, part = data.procedure(procedure_name), data.measured_kind(kind)
    if proc not in data.procedures:
        says = f"{proc.name} is no test by {data.limits}, only by others of the workshop"
        raise Refused("procedure-not-for-kind", says, where="procedure")
    if proc.name not in part.procedures:
        can = ", ".join(part.procedures)
        if why := proc.never.get(part.name):
            raise Refused(
                "never-on-kind",
                f"never run {proc.name} on {part.plural}: {why}",
                where="procedure",
                hint=f"for {part.plural}: {can}",
            )
        raise Refused(
            "procedure-not-for-kind",
            f"{proc.name} runs say nothing about {part.plural}",
            where="procedure",
            hint=f"for {part.plural}: {can}" if can else f"there is no bench test for {part.plural} yet",
        )
    return proc


def allowed_conditions(proc: Procedure) -> tuple[str, ...]:
    """The names of the conditions that a procedure uses.

    Those that its data name, else those of its method; the time of day; the instrument, if accuracy matters.
    """
    takes = proc.beside or _method(proc).CONDITIONS
    if proc.method in _EITHER_END:
        takes = (*takes, "at")
    takes = (*takes, "clock")
    accurate = {"meter", "resolution"} & {*takes, *_method(proc).CONDITIONS}
    return (*takes, "instrument") if accurate and "instrument" not in takes else takes


def _method(proc: Procedure) -> _Method:
    return cast("_Method", import_module(_METHODS[proc.method]))


def _typed_words(run: TypedRun, context: RunContext) -> TypedWords:
    """The typed run, after checking that procedure, kind, readings and conditions go together."""
    proc = procedure_for(context.data, run.procedure, context.kind).for_number(context.part_number)
    takes = allowed_conditions(proc)
    blank_alone = "blank" in takes and run.conditions.get("blank") and run.conditions.get("rig")
    if not run.readings and not blank_alone:
        raise Refused("no-readings", "the run has no readings", where="reading", hint=f"give {proc.reads}")
    noted = {name: value for name, value in run.conditions.items() if value not in (None, "", False, (), [])}
    for name in run.conditions:
        if condition(name) is None:
            raise Refused("no-such-condition", f'"{name}" is not a condition of a run', where=name)
    for name in noted:
        if name not in takes:
            hint = f"with {proc.name} runs: {', '.join(takes)}"
            raise Refused("condition-not-for-procedure", f"{proc.name} runs do not use {name}", where=name, hint=hint)
    completed = instrument_defaults(noted, takes, run.readings, context.instrument, proc.method)
    words = TypedWords(proc, context, run.readings, completed)
    words.measured_at()
    words.clock()
    return words
