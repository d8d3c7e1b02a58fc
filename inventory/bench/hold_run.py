"""The method "hold": its words read, and handed to the judgement with the limits on file."""

from __future__ import annotations

from inventory.bench.hold import judge_hold
from inventory.bench.hold_facts import HoldInput, HoldLimits
from inventory.bench.readings import parse_timed, refuse_beyond_atmosphere
from inventory.bench.units import parse_quantity
from inventory.bench.verdicts import RunJudgement
from inventory.bench.words import Words
from inventory.reference.procedure import Procedure

__all__ = ["CONDITIONS", "judge", "read"]

CONDITIONS = ("resolution", "blank", "volume", "ambient", "barometer", "note")


def read(words: Words) -> tuple[HoldInput, HoldLimits]:
    """What the words of a hold mean; raises `Refused` for the first that cannot stand."""
    volume = words.quantity("volume", "volume", sized=True)
    barometer = words.quantity("barometer", "pressure")
    resolution = words.quantity("resolution", "pressure", sized=True)
    words.ambient()
    blank = parse_timed(words.texts("blank"), where="blank")
    timed = parse_timed(words.readings)
    refuse_beyond_atmosphere((*timed, *blank), barometer)
    return HoldInput(timed, blank, resolution, volume), _limits(words.procedure)


def judge(given: tuple[HoldInput, HoldLimits]) -> RunJudgement:
    """What the hold proves."""
    return judge_hold(*given)


def _limits(procedure: Procedure) -> HoldLimits:
    figures = procedure.figures
    low, high = (
        parse_quantity(f"{figures[name].value}{figures[name].unit}", "pressure").si
        for name in ("nominal_low", "nominal_high")
    )
    return HoldLimits(figures["share"].value, figures["time"].value, (low, high), figures["near"].value)
