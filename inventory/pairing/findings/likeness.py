"""Parts that are alike as far as a grade goes, so that a grade is worked out once for all of them. Pure.

Everything a grade asks of one part stands in its likeness, save what speaks of one other part by its tag: the mate it
ran together with, a running car on which both were, a specialist's paper that names it. Those pairs are bound, and are
judged by themselves.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TypeAlias

from inventory.pairing.candidate import Candidate
from inventory.pairing.findings.by_paper import set_by_specialist
from inventory.pairing.findings.by_part import Grade
from inventory.pairing.findings.fit import Fits
from inventory.pairing.findings.together import ceiling

__all__ = ["Grades", "Likeness", "bound_to", "likeness"]

Likeness: TypeAlias = tuple[object, ...]

_ANY = "any other"
"""In place of a tag: nothing on record speaks of it."""


def likeness(half: Candidate) -> Likeness:
    """What a grade asks of one part. Two parts of one likeness stand alike with every third, bound pairs aside."""
    return (
        half.part_number_squeezed,
        half.match_code,
        half.match_code_state,
        half.match_code_read_from,
        half.seal_state,
        half.opened is not None,
        half.decisive_failure is not None,
        _setting(half) if half.setting is not None or half.seals_noted or half.seal_state == "renewed" else None,
        bool(half.calibration_shown)
        and any(not shown.mate and shown.at > half.changed for shown in half.calibration_shown),
    )


def bound_to(half: Candidate) -> frozenset[str]:
    """Tags of the parts that something on record of this one speaks of by name."""
    tags = {shown.mate for shown in half.calibration_shown}
    if half.strip_down is not None:
        tags.add(half.strip_down.mate)
    if half.setting is not None:
        tags.add(half.setting.unit)
    return frozenset(tags - {""})


class Grades:
    """Grades of pairs under one fit relation, each worked out once for all that are alike."""

    def __init__(self, fits: Fits) -> None:
        self._fits = fits
        self._known: dict[tuple[Likeness, Likeness], Grade] = {}
        self._fit = lru_cache(maxsize=None)(lambda ours, theirs: fits.judge(ours, theirs).fits)

    def with_each(self, sensor: Candidate, units: Sequence[Candidate]) -> Iterator[tuple[Candidate, Grade]]:
        """Each control unit with the grade that the sensor has with it."""
        ours, bound = likeness(sensor), bound_to(sensor)
        for unit in units:
            if unit.tag in bound:
                yield unit, ceiling(sensor, unit, self._fits)
            else:
                yield unit, self.of(ours, sensor, likeness(unit), unit)

    def of(self, ours: Likeness, sensor: Candidate, theirs: Likeness, unit: Candidate) -> Grade:
        """The grade of two that nothing binds to each other, from their likenesses and one part of each.

        Which numbers they are matters only as far as they fit, save to a paper that names a number.
        """
        if not self._fit(sensor.part_number_squeezed, unit.part_number_squeezed):
            return "ruled out"
        numbered = sensor.setting is not None and sensor.setting.unit_number_squeezed
        key = (ours, theirs) if numbered else (ours[1:], theirs[1:])
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = ceiling(sensor, replace(unit, tag=_ANY), self._fits)
        return known


def _setting(half: Candidate) -> Likeness | None:
    """Whether and for what a specialist set it, and whether a seal was found broken since."""
    if not set_by_specialist(half):
        return None
    paper = half.setting
    if paper is None:
        return ("",)
    since = any(
        seal.at > paper.at and (seal.state in ("missing", "disturbed") or not seal.has_document)
        for seal in half.seals_noted
        if seal.state in ("missing", "disturbed", "renewed")
    )
    return (paper.unit, paper.unit_number_squeezed, paper.unit_code, since)
