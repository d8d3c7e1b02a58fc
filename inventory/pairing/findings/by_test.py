"""The tests of a sensor and a control unit, which stand beside the grade of their pair. Pure.

A test says whether a part works, not with whom it was calibrated: it raises and lowers no grade.
"""

from __future__ import annotations

from collections.abc import Iterator

from inventory.pairing.candidate import SENSOR_KIND, Candidate
from inventory.pairing.findings.by_part import Finding, name
from inventory.reasons import WORKSHOP, Reason

__all__ = ["failed_words", "failures", "how_to_mend", "tests_beside"]

_RULE = "a test says whether a part works, not with whom it was calibrated: it stands beside the grade"


def failures(sensor: Candidate, unit: Candidate) -> Iterator[Finding]:
    """A note on each failed test of the two."""
    for part in (sensor, unit):
        for test in part.failed:
            facts = (test.fact,) if test.fact else ()
            reason = Reason(f"{name(part)} {test.says}", _RULE, standing=WORKSHOP, facts=facts)
            yield Finding("test", "confirmed", "", "", reason)


def failed_words(*parts: Candidate) -> str:
    """The failed tests in a sentence: "sensor failed the hold on 12 March 2026"; empty if none failed."""
    return "; ".join(
        f"{'sensor' if part.kind == SENSOR_KIND else 'control unit'} {' and '.join(test.says for test in part.failed)}"
        for part in parts
        if part.failed
    )


def how_to_mend(sensor: Candidate, unit: Candidate) -> tuple[str, ...]:
    """What would mend those of the two that failed a test."""
    return tuple(_mend(part) for part in (sensor, unit) if part.failed)


def _mend(part: Candidate) -> str:
    ways = dict.fromkeys(way for test in part.failed for way in test.mended)
    if not ways:
        return f"look for a sound one instead of {name(part)}"
    return f"have {name(part)} {', or '.join(ways)}, or look for a sound one"


def tests_beside(sensor: Candidate, unit: Candidate) -> list[dict[str, object]]:
    """The objects of the JSON list `tests`: the last pass or fail of each procedure on the two."""
    return [
        {
            "tag": part.tag,
            "procedure": test.procedure or None,
            "verdict": test.verdict,
            "on": test.on or None,
            "fact": test.fact or None,
            "says": test.says,
        }
        for part in (sensor, unit)
        for test in part.tests
    ]
