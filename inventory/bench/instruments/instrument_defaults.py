"""Defaults that a run takes from its instrument: accuracy and resolution where none was typed, and doubts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from inventory.bench.instruments.calibration import dimension_of
from inventory.bench.quantities.readings import parse_meter
from inventory.bench.quantities.units import Dimension
from inventory.bench.typed_run import InstrumentUsed, TypedWords
from inventory.bench.verdicts import RunJudgement, Verdict
from inventory.errors import Refused
from inventory.reasons import WORKSHOP, Reason

__all__ = ["fits", "instrument_defaults", "with_doubts"]

_METER, _RESOLUTION = "meter", "resolution"
_CORRECTED: dict[str, Dimension] = {"resistance": "resistance", "curve": "resistance"}
"""Methods that apply an instrument's correction line, and the quantity they correct."""


def instrument_defaults(
    noted: Mapping[str, object], takes: Sequence[str], readings: Sequence[str], used: InstrumentUsed | None, method: str
) -> dict[str, object]:
    """The conditions of a run, completed from its instrument. A typed condition wins.

    An accuracy or resolution for another quantity than the readings is not used: a meter may measure several.
    """
    completed = dict(noted)
    if used is None:
        return completed
    dimensions = _dimensions_of(readings)
    if _METER in takes and _METER not in completed and any(fits(used.specification, each) for each in dimensions):
        named = method in ("sweep", "pulse")  # they ask whether both units were measured with one meter
        completed[_METER] = f"{used.name}: {used.specification}" if named else used.specification
    own_scale = method != "sweep"  # the resolution of a sweep is the gauge's, its readings are the meter's
    if (
        _RESOLUTION in takes
        and _RESOLUTION not in completed
        and own_scale
        and dimension_of(used.resolution) in dimensions
    ):
        completed[_RESOLUTION] = used.resolution
    return completed


def fits(specification: str, dimension: Dimension) -> bool:
    """Whether a specification can be for this dimension."""
    if not specification:
        return False
    try:
        parse_meter(specification, dimension)
    except Refused:
        return False
    return True


def _dimensions_of(readings: Sequence[str]) -> set[Dimension]:
    """The dimensions of the values of readings."""
    values = [reading.rpartition("=")[2].strip() for reading in readings]
    return {found for value in values if (found := dimension_of(value)) is not None}


def with_doubts(judgement: RunJudgement, words: TypedWords) -> RunJudgement:
    """The judgement on a run, with the state of its instrument taken into account.

    With a doubtful instrument a pass or a fail becomes undecided.
    """
    used, method = words.context.instrument, words.procedure.method
    if used is None:
        return judgement
    reasons = list(judgement.reasons)
    left = used.corrects if _CORRECTED.get(method) != used.corrects else None
    if left is not None and left in _dimensions_of(words.readings):
        says = f"the calibration corrections of {used.name} are not applied here: the reading is used as it is"
        reasons.append(Reason(says, "only resistances and curves are corrected", "no source", WORKSHOP, used.facts))
    if used.missing:
        says = f"{used.missing}: nothing is known of its accuracy"
        reasons.append(Reason(says, "add an instrument before you use it: matchmark instrument add"))
    if used.due:
        rule = "an instrument whose calibration is overdue may have drifted; have it checked"
        reasons.append(
            Reason(
                f"{used.name} is out of date: calibration was due by {used.due}",
                rule,
                "no source",
                WORKSHOP,
                used.facts,
            )
        )
    if not used.doubt:
        return replace(judgement, reasons=tuple(reasons))
    rule = "a run is doubtful if the calibration before or after it was not passed: measure again"
    doubt = Reason(f"{used.name} {used.doubt}", rule, "no source", WORKSHOP, used.facts)
    verdict: Verdict = "undecided" if judgement.verdict in ("pass", "fail") else judgement.verdict
    says = f"doubtful, {used.name} {used.doubt}: measure again. As read: {judgement.says}"
    return RunJudgement(verdict, says, judgement.figures, (doubt, *reasons), doubtful=True)
