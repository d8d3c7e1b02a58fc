"""Defaults that a run takes from its instrument: accuracy and resolution where none was typed, and doubts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from inventory.bench.instruments.calibration import measured_by
from inventory.bench.quantities.readings import parse_meter
from inventory.bench.quantities.units import Dimension
from inventory.bench.typed_run import InstrumentUsed, Words
from inventory.bench.verdicts import RunJudgement, Verdict
from inventory.errors import Refused
from inventory.reasons import WORKSHOP, Reason

__all__ = ["fits", "lent", "with_doubts"]

_METER, _RESOLUTION = "meter", "resolution"
_SET_RIGHT: dict[str, Dimension] = {"resistance": "resistance", "curve": "resistance"}
"""Methods that apply an instrument's line of corrections, and to what."""


def lent(
    noted: Mapping[str, object], takes: Sequence[str], readings: Sequence[str], used: InstrumentUsed | None, method: str
) -> dict[str, object]:
    """The conditions of a run, completed from its instrument; what was typed wins.

    An accuracy or resolution that is for something else than what was read is left alone: a meter has several ranges.
    """
    whole = dict(noted)
    if used is None:
        return whole
    dimensions = _measured(readings)
    if _METER in takes and _METER not in whole and any(fits(used.specification, each) for each in dimensions):
        named = method == "sweep"  # a sweep asks whether both units were measured with one meter
        whole[_METER] = f"{used.name}: {used.specification}" if named else used.specification
    own_scale = method != "sweep"  # there the resolution is the gauge's, and the readings are the meter's
    if _RESOLUTION in takes and _RESOLUTION not in whole and own_scale and measured_by(used.resolution) in dimensions:
        whole[_RESOLUTION] = used.resolution
    return whole


def fits(specification: str, dimension: Dimension) -> bool:
    """Whether a specification can be read for what is measured."""
    if not specification:
        return False
    try:
        parse_meter(specification, dimension)
    except Refused:
        return False
    return True


def _measured(readings: Sequence[str]) -> set[Dimension]:
    """What the values of readings measure."""
    values = [reading.rpartition("=")[2].strip() for reading in readings]
    return {found for value in values if (found := measured_by(value)) is not None}


def with_doubts(judgement: RunJudgement, words: Words) -> RunJudgement:
    """What a run proves, once it is known whether its instrument was in date and can be trusted.

    With an instrument that is doubtful neither a pass nor a fail stands: what was measured cannot tell.
    """
    used, method = words.context.instrument, words.procedure.method
    if used is None:
        return judgement
    reasons = list(judgement.reasons)
    left = used.corrects if _SET_RIGHT.get(method) != used.corrects else None
    if left is not None and left in _measured(words.readings):
        says = f"the corrections of {used.name}'s calibration are not applied here: the dial is taken as it stands"
        reasons.append(Reason(says, "resistances and curves alone are set right", "no source", WORKSHOP, used.facts))
    if used.missing:
        says = f"{used.missing}: nothing is known of its accuracy"
        reasons.append(Reason(says, "an instrument is entered before it is used: matchmark instrument add"))
    if used.due:
        rule = "an instrument past the day its calibration was due may have drifted; have it checked"
        reasons.append(
            Reason(f"{used.name} is out of date: due by {used.due}", rule, "no source", WORKSHOP, used.facts)
        )
    if not used.doubt:
        return replace(judgement, reasons=tuple(reasons))
    rule = "a run is doubtful where the calibration next to it, before or after, was not passed: measure again"
    doubt = Reason(f"{used.name} {used.doubt}", rule, "no source", WORKSHOP, used.facts)
    verdict: Verdict = "undecided" if judgement.verdict in ("pass", "fail") else judgement.verdict
    says = f"doubtful, {used.name} {used.doubt}: measure again. As read: {judgement.says}"
    return RunJudgement(verdict, says, judgement.figures, (doubt, *reasons), doubtful=True)
