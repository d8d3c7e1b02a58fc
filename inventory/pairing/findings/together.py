"""All findings about one sensor and one control unit, and their grade. Pure."""

from __future__ import annotations

from inventory.pairing.candidate import Candidate
from inventory.pairing.findings.by_code import code_notes, codes
from inventory.pairing.findings.by_part import (
    GRADES,
    Finding,
    Grade,
    contradicted,
    control_unit,
    notes_on_use,
    numbers,
    seals_never_noted,
    sensor_seals,
    sensor_worked_on,
)
from inventory.pairing.findings.by_test import failures
from inventory.pairing.findings.calibration_shown import raised
from inventory.pairing.findings.fit import Fits

__all__ = ["ceiling", "findings_of"]


def findings_of(sensor: Candidate, unit: Candidate, fits: Fits) -> tuple[Finding, ...]:
    """All findings about the two, in the order of the reasons."""
    found = (
        numbers(sensor, unit, fits),
        codes(sensor, unit, fits),
        *code_notes(sensor, unit),
        sensor_seals(sensor),
        *seals_never_noted(sensor),
        *sensor_worked_on(sensor),
        control_unit(sensor, unit),
        *failures(sensor, unit),
        *contradicted(sensor, unit),
        *notes_on_use(sensor, unit),
    )
    return raised(found, sensor, unit)


def ceiling(sensor: Candidate, unit: Candidate, fits: Fits) -> Grade:
    """The grade: the lowest ceiling of all findings."""
    return max((finding.ceiling for finding in findings_of(sensor, unit, fits)), key=GRADES.index)
