"""Judges a bench run: what was typed in, verdict and reasons out. The only way to a judgement.

`check` refuses what cannot be read before anything is stored; `judge` says what it proves. The typed words are
all that is kept of a run, so a better rule judges old runs anew. Each procedure names its method in the
reference data; a method reads the words (`read`, which refuses) and judges what they mean (`judge`).
"""

from __future__ import annotations

from importlib import import_module
from typing import Any, Protocol, cast

from inventory.bench.conditions import condition
from inventory.bench.instruments.instrument_defaults import lent, with_doubts
from inventory.bench.methods.limits.loom import at_the_plug
from inventory.bench.typed_run import RunContext, TypedRun, Words
from inventory.bench.verdicts import RunJudgement, Verdict
from inventory.errors import Refused
from inventory.reasons import WORKSHOP, Reason
from inventory.reference.data import Reference
from inventory.reference.procedure import Procedure

__all__ = ["RunJudgement", "Verdict", "check", "judge", "noted_beside", "procedure_for"]

#: method -> its module, imported when a run of it is read: fits and tables cost up to a second.
_METHODS = {
    "curve": "inventory.bench.methods.thermistor.run",
    "hold": "inventory.bench.methods.hold.run",
    "limits": "inventory.bench.methods.limits.run",
    "resistance": "inventory.bench.methods.resistance.run",
    "sweep": "inventory.bench.methods.sweep.run",
}

#: Methods whose readings may be taken at the part or at the control unit's plug.
_EITHER_END = ("resistance", "curve")


class _Method(Protocol):
    """What a method's module offers. `CONDITIONS` names what may be noted beside its readings."""

    CONDITIONS: tuple[str, ...]

    def read(self, words: Words) -> Any: ...

    def judge(self, given: Any) -> RunJudgement: ...


def check(run: TypedRun, context: RunContext) -> None:
    """Read everything typed for a run. Raises `Refused` for the first word that cannot be read."""
    words = _words(run, context)
    _method(words.procedure).read(words)


def judge(run: TypedRun, context: RunContext) -> RunJudgement:
    """What a run proves, given its context.

    Never raises: a run on record that can no longer be read (its part was found to be of another kind, say) is not
    judged, with the sentence that `check` would refuse it with.
    """
    try:
        words = _words(run, context)
        method = _method(words.procedure)
        given = method.read(words)
    except Refused as refusal:
        rule = "a run is judged only where every word of it can be read"
        reason = Reason(refusal.message, rule, "no source", WORKSHOP)
        return RunJudgement("not judged", f"not judged: {refusal.message}", {}, (reason,))
    found = with_doubts(method.judge(given), words)
    return at_the_plug(found) if words.spot() == "plug" else found


def procedure_for(data: Reference, procedure_name: str, kind: str) -> Procedure:
    """The procedure of that name. Raises `Refused` if it does not apply to that kind of part."""
    proc, part = data.procedure(procedure_name), data.measured_kind(kind)
    if proc.name not in part.procedures:
        can = ", ".join(part.procedures)
        if why := proc.never.get(part.name):
            raise Refused(
                "never-on-kind",
                f"no {proc.name} run on {part.plural}: {why}",
                where="procedure",
                hint=f"for {part.plural}: {can}",
            )
        raise Refused(
            "procedure-not-for-kind",
            f"{proc.name} runs say nothing about {part.plural}",
            where="procedure",
            hint=f"for {part.plural}: {can}" if can else f"the bench has no test for {part.plural} yet",
        )
    return proc


def noted_beside(proc: Procedure) -> tuple[str, ...]:
    """What may be noted beside the readings of a procedure, by name.

    What its data name, else all that its method takes; an instrument too where accuracy counts.
    """
    takes = proc.beside or _method(proc).CONDITIONS
    if proc.method in _EITHER_END:
        takes = (*takes, "at")
    accurate = {"meter", "resolution"} & {*takes, *_method(proc).CONDITIONS}
    return (*takes, "instrument") if accurate and "instrument" not in takes else takes


def _method(proc: Procedure) -> _Method:
    return cast("_Method", import_module(_METHODS[proc.method]))


def _words(run: TypedRun, context: RunContext) -> Words:
    """The run as typed, once procedure, kind, readings and conditions are known to go together."""
    proc = procedure_for(context.data, run.procedure, context.kind).for_number(context.part_number)
    if not run.readings:
        raise Refused("no-readings", "the run has no readings", where="reading", hint=f"give {proc.reads}")
    noted = {name: value for name, value in run.conditions.items() if value not in (None, "", False, (), [])}
    takes = noted_beside(proc)
    for name in run.conditions:
        if condition(name) is None:
            raise Refused("no-such-condition", f'"{name}" is not something that is noted with a run', where=name)
    for name in noted:
        if name not in takes:
            hint = f"with {proc.name} runs: {', '.join(takes)}"
            raise Refused("condition-not-for-procedure", f"{proc.name} runs do not use {name}", where=name, hint=hint)
    whole = lent(noted, takes, run.readings, context.instrument, proc.method)
    words = Words(proc, context, run.readings, whole)
    words.spot()
    return words
