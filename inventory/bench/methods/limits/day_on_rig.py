"""Reads what is known of the rig of a leak test: its own blank, and the day's other runs on it."""

from __future__ import annotations

from dataclasses import replace

from inventory.bench.methods.limits.leak_rig import LeakRig, LeakTest
from inventory.bench.methods.rig_proof import OtherRun
from inventory.bench.quantities.readings import parse_timed
from inventory.bench.typed_run import RigRun, TypedWords
from inventory.errors import Refused

__all__ = ["rig_of"]


def rig_of(words: TypedWords) -> LeakRig:
    """What is known of the rig of a leak test."""
    day, data = words.context.same_rig, words.context.data
    step = words.quantity("resolution", "pressure", sized=True)
    return LeakRig(
        blank=parse_timed(words.texts("blank"), where="blank"),
        before=tuple(_other(run, words) for run in day.before),
        after=tuple(_other(run, words) for run in day.after),
        mended=words.flag("rig mended"),
        step=step.si if step else 0.0,
        near=data.procedure("hold").figures["near"].value,
    )


def _other(run: RigRun, words: TypedWords) -> OtherRun[LeakTest]:
    """Another run on the rig, read as far as it can be."""
    there = TypedWords(words.procedure, words.context, run.readings, run.conditions)
    other = OtherRun[LeakTest](run.fact, there.flag("rig mended"), run.thing_id == words.context.same_rig.thing_id)
    proc = next((each for each in words.context.data.procedures if each.name == run.procedure), None)
    leak_test = proc is not None and any(spec.form == "left after" for spec in proc.readings)
    if not leak_test or (run.instrument is not None and run.instrument.doubt):
        return other
    try:
        blank = parse_timed(there.texts("blank"), where="blank")
        timed = parse_timed(text for text in run.readings if text[:1].isdigit())
    except Refused:
        return other
    return replace(other, read=LeakTest(blank, timed))
