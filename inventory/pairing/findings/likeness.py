"""Grades parts that are alike together, so that each grade is computed once. Pure.

The likeness of a part holds everything that a grade depends on, except facts that name one other part by its tag: the
mate it ran with, a mixture run with it, a specialist's paper that names it. Such pairs are bound and graded separately.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TypeAlias

from inventory.pairing.candidate import Candidate
from inventory.pairing.findings.by_paper import set_by_specialist
from inventory.pairing.findings.by_part import Grade, opened_since_set
from inventory.pairing.findings.fit import Fits
from inventory.pairing.findings.together import ceiling

__all__ = ["Grades", "Likeness", "bound_to", "likeness"]

Likeness: TypeAlias = tuple[object, ...]

_ANY = "any other"
"""Stands for the tag of a part that no fact names."""


def likeness(part: Candidate) -> Likeness:
    """All that a grade depends on. Parts of one likeness have equal grades with any other part, bound pairs aside."""
    return (
        part.part_number_squeezed,
        part.match_code,
        part.match_code_state,
        part.match_code_read_from,
        part.seal_state,
        opened_since_set(part),
        _setting(part) if part.setting is not None or part.seals_noted or part.seal_state == "renewed" else None,
        bool(part.calibration_shown)
        and any(not shown.mate and shown.at > part.changed for shown in part.calibration_shown),
        any(each.place_open for each in part.contradictions),
        any(not seal.own for seal in part.seals_noted if seal.state == part.seal_state),
    )


def bound_to(part: Candidate) -> frozenset[str]:
    """Tags of the parts that a fact about this one names."""
    tags = {shown.mate for shown in part.calibration_shown}
    if part.strip_down is not None:
        tags.add(part.strip_down.mate)
    if part.setting is not None:
        tags.add(part.setting.unit)
    return frozenset(tags - {""})


class Grades:
    """Grades of pairs, each computed once for all parts that are alike."""

    def __init__(self, fits: Fits) -> None:
        self._fits = fits
        self._known: dict[tuple[bool, Likeness, Likeness], Grade] = {}
        self.fit = lru_cache(maxsize=None)(fits.judge)

    def with_each(self, sensor: Candidate, units: Sequence[Candidate]) -> Iterator[tuple[Candidate, Grade]]:
        """Each control unit with the grade that the sensor has with it."""
        ours, bound = likeness(sensor), bound_to(sensor)
        for unit in units:
            if unit.tag in bound:
                yield unit, ceiling(sensor, unit, self._fits)
            else:
                yield unit, self.of(ours, sensor, likeness(unit), unit)

    def of(self, ours: Likeness, sensor: Candidate, theirs: Likeness, unit: Candidate) -> Grade:
        """The grade of two parts that are not bound, from their likenesses and one part of each.

        Their numbers matter only for the fit, except to a paper that names a number.
        """
        fit = self.fit(sensor.part_number_squeezed, unit.part_number_squeezed)
        if not fit.may_fit:
            return "ruled out"
        numbered = sensor.setting is not None and sensor.setting.unit_number_squeezed
        key = (fit.unknown, ours, theirs) if numbered else (fit.unknown, ours[1:], theirs[1:])
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = ceiling(sensor, replace(unit, tag=_ANY), self._fits)
        return known


def _setting(part: Candidate) -> Likeness | None:
    """The specialist's setting as part of a likeness, and whether a seal was found broken since."""
    if not set_by_specialist(part):
        return None
    paper = part.setting
    if paper is None:
        return ("",)
    since = any(
        seal.at > paper.at and (seal.state in ("missing", "disturbed") or not seal.has_document)
        for seal in part.seals_noted
        if seal.state in ("missing", "disturbed", "renewed")
    )
    return (paper.unit, paper.unit_number_squeezed, paper.unit_code, since)
