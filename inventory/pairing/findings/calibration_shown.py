"""What shows that a calibration is right as it stands, whatever seals and codes say: a sweep, or a running car. Pure.

A sweep like the reference speaks for the sensor's setting. The mixture, right at cruise and full load on the running
car, speaks for the two that were on it. Either counts only where nothing was found or done on them since.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from inventory.pairing.candidate import CalibrationShown, Candidate
from inventory.pairing.findings.by_part import ASK_ONLY, ASK_SPECIALIST, ONLY_A_PAPER, SHOW_IT, Finding, Subject, note

__all__ = ["calibration_shown", "lifted", "mixture_shows", "sweep_shows"]

_RULE = "a calibration shown to be right, with nothing found or done since, raises what seals and codes leave possible"
_SWEEP: tuple[Subject, ...] = ("seals",)
_PAIR: tuple[Subject, ...] = ("seals", "codes", "control unit")
_LOADS = ("cruise", "full load")
#: What is still left to do once a sweep or the running car has shown what it can.
_STEP_LEFT = {SHOW_IT: ONLY_A_PAPER, ASK_SPECIALIST: ASK_ONLY}


def sweep_shows(verdict: str, figures: Mapping[str, object]) -> bool:
    """Whether a sweep of a sensor came out like the reference."""
    return verdict == "pass" and figures.get("comparison") == "like the reference"


def mixture_shows(verdict: str, figures: Mapping[str, object]) -> bool:
    """Whether a mixture run was right at part load and at full load, by CO or by lambda; idle alone shows little."""
    passed = {name for name, found in figures.items() if isinstance(found, Mapping) and found.get("verdict") == "pass"}
    return verdict == "pass" and all({f"{load} CO", f"{load} lambda"} & passed for load in _LOADS)


def calibration_shown(sensor: Candidate, unit: Candidate) -> tuple[CalibrationShown, ...]:
    """What shows the calibration of these two, with nothing found or done on what it speaks for since."""
    return tuple(
        shown
        for shown in sensor.calibration_shown
        if shown.mate in ("", unit.tag) and shown.at > sensor.changed and (not shown.mate or shown.at > unit.changed)
    )


def lifted(found: tuple[Finding, ...], sensor: Candidate, unit: Candidate) -> tuple[Finding, ...]:
    """The findings, those that leave a pair possible raised to probable by what was shown; what showed it is told."""
    shown = calibration_shown(sensor, unit)
    return tuple(_lifted(finding, shown) for finding in found) + tuple(
        note(each.says, _RULE, each.fact) for each in shown
    )


def _lifted(finding: Finding, shown: tuple[CalibrationShown, ...]) -> Finding:
    speaks = [each for each in shown if finding.about in (_PAIR if each.mate else _SWEEP)]
    if finding.ceiling != "possible" or not speaks:
        return finding
    step = _STEP_LEFT.get(finding.step, finding.step)
    return replace(finding, ceiling="probable", says=f"{finding.says}; but {speaks[-1].says}", step=step)
