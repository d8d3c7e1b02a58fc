"""Runs that show that a calibration is right, whatever seals and codes say: a sweep, or a running car. Pure.

A sweep like the reference proves the sensor's setting. A mixture that is right at cruise and full load proves the pair
on the car. Either counts only if no work was done and no broken seal was found since.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from inventory.pairing.candidate import CalibrationShown, Candidate
from inventory.pairing.findings.by_part import ASK_ONLY, ASK_SPECIALIST, ONLY_A_PAPER, SHOW_IT, Finding, Subject, note

__all__ = ["calibration_shown", "mixture_shows", "raised", "sweep_shows"]

_RULE = "a run that shows a right calibration, with no work or broken seal since, raises a possible pair to probable"
_SWEEP: tuple[Subject, ...] = ("seals", "sensor")
_PAIR: tuple[Subject, ...] = ("seals", "sensor", "codes", "control unit")
_LOADS = ("cruise", "full load")
#: The step that is left after a sweep or a mixture run.
_STEP_LEFT = {SHOW_IT: ONLY_A_PAPER, ASK_SPECIALIST: ASK_ONLY}


def sweep_shows(verdict: str, figures: Mapping[str, object]) -> bool:
    """Whether a sweep of a sensor was like the reference."""
    return verdict == "pass" and figures.get("comparison") == "like the reference"


def mixture_shows(verdict: str, figures: Mapping[str, object]) -> bool:
    """Whether a mixture run was right at part load and at full load, by CO or by lambda; idle alone shows little."""
    passed = {name for name, found in figures.items() if isinstance(found, Mapping) and found.get("verdict") == "pass"}
    return verdict == "pass" and all({f"{load} CO", f"{load} lambda"} & passed for load in _LOADS)


def calibration_shown(sensor: Candidate, unit: Candidate) -> tuple[CalibrationShown, ...]:
    """The runs that show the calibration of these two, without work or broken seals since."""
    return tuple(
        shown
        for shown in sensor.calibration_shown
        if shown.mate in ("", unit.tag) and shown.at > sensor.changed and (not shown.mate or shown.at > unit.changed)
    )


def raised(found: tuple[Finding, ...], sensor: Candidate, unit: Candidate) -> tuple[Finding, ...]:
    """The findings, raised from possible to probable where a run shows the calibration, and a note on each such run."""
    shown = calibration_shown(sensor, unit)
    return tuple(_raised(finding, shown) for finding in found) + tuple(
        note(each.says, _RULE, each.fact) for each in shown
    )


def _raised(finding: Finding, shown: tuple[CalibrationShown, ...]) -> Finding:
    speaks = [each for each in shown if finding.about in (_PAIR if each.mate else _SWEEP)]
    if finding.ceiling != "possible" or not speaks:
        return finding
    step = _STEP_LEFT.get(finding.step, finding.step)
    return replace(finding, ceiling="probable", says=f"{finding.says}; but {speaks[-1].says}", step=step)
