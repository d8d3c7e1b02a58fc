"""Which units belong together: the grade of a sensor with a control unit, and the candidates for one of them. Pure.

Grades are confirmed, probable, possible, ruled out; the lowest ceiling among the findings decides. A grade is about the
pair as it left the factory, or as a specialist set it. Whether both work stands beside it: the tests that they passed
and failed, and the probability. `plan` pairs a whole shelf.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from inventory.errors import Refused
from inventory.pairing.candidate import PAIRED_KINDS, SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.findings.by_part import GRADES, Finding, Grade
from inventory.pairing.findings.by_test import failed_words, how_to_mend, tests_beside
from inventory.pairing.findings.fit import Fits
from inventory.pairing.findings.likeness import Grades
from inventory.pairing.findings.together import ceiling, findings_of
from inventory.reasons import WORKSHOP, Reason

__all__ = ["PairJudgement", "candidates", "grade", "pairs_among", "refuse_unpaired"]

_NOT_A_PAIR = "not a factory pair"
_NOTHING_HIGHER = "no further step would raise this grade"


@dataclass(frozen=True)
class PairJudgement:
    """One sensor with one control unit and their grade.

    Sentences and reasons are made only when asked for: of a hundred thousand pairs most are only counted and sorted.
    """

    sensor_candidate: Candidate
    unit_candidate: Candidate
    grade: Grade
    fits: Fits

    @property
    def sensor(self) -> str:
        """The sensor's tag."""
        return self.sensor_candidate.tag

    @property
    def unit(self) -> str:
        """The control unit's tag."""
        return self.unit_candidate.tag

    @property
    def p_both_serviceable(self) -> float:
        """The probability that both are serviceable, 0 to 1."""
        return self.sensor_candidate.p_serviceable * self.unit_candidate.p_serviceable

    @property
    def failed(self) -> bool:
        """Whether one of the two failed a test."""
        return bool(self.sensor_candidate.failed or self.unit_candidate.failed)

    @property
    def documents(self) -> int:
        """The number of documents of both."""
        return self.sensor_candidate.document_count + self.unit_candidate.document_count

    @property
    def rank(self) -> tuple[int, float, int, str, str]:
        """Sorts best first: grade, then p both serviceable, then documents, then tags."""
        return (GRADES.index(self.grade), -self.p_both_serviceable, -self.documents, self.sensor, self.unit)

    @cached_property
    def says(self) -> str:
        """The sentence for people."""
        failed = failed_words(self.sensor_candidate, self.unit_candidate)
        return _sentence(self.grade, self._found, self._lowest, failed)

    @cached_property
    def next_step(self) -> str:
        """The cheapest way to raise the grade, then to mend what failed a test."""
        steps = [finding.step for finding in self._lowest if finding.step]
        if self.grade != "ruled out":
            steps += how_to_mend(self.sensor_candidate, self.unit_candidate)
        return "; then ".join(dict.fromkeys(steps)) or _NOTHING_HIGHER

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """The reasons for the grade and for the probability."""
        reasons = tuple(finding.reason for finding in self._found)
        if self.grade == "ruled out":
            reasons += (_how_to_lift(self._lowest, self.next_step),)
        return (*reasons, _both_serviceable(self.sensor_candidate, self.unit_candidate))

    def as_dict(self) -> dict[str, object]:
        """The object that stands in a JSON `pairs` list."""
        return {
            "sensor": self.sensor,
            "unit": self.unit,
            "grade": self.grade,
            "p_both_serviceable": self.p_both_serviceable,
            "next_step": self.next_step,
            "reasons": [reason.as_dict() for reason in self.reasons],
            "tests": tests_beside(self.sensor_candidate, self.unit_candidate),
        }

    @cached_property
    def _found(self) -> tuple[Finding, ...]:
        return findings_of(self.sensor_candidate, self.unit_candidate, self.fits)

    @cached_property
    def _lowest(self) -> list[Finding]:
        return [finding for finding in self._found if finding.ceiling == self.grade and finding.says]


def grade(sensor: Candidate, unit: Candidate, fits: Fits) -> PairJudgement:
    """The grade of one sensor with one control unit, with its reasons. Raises Refused for kinds that are not paired."""
    refuse_unpaired(sensor, SENSOR_KIND)
    refuse_unpaired(unit, UNIT_KIND)
    return PairJudgement(sensor, unit, ceiling(sensor, unit, fits), fits)


def pairs_among(
    sensors: Iterable[Candidate], units: Iterable[Candidate], fits: Fits, *, include_ruled_out: bool = False
) -> tuple[PairJudgement, ...]:
    """Every sensor with every control unit, best first, without those ruled out unless asked for."""
    sensors, units, grades = list(sensors), list(units), Grades(fits)
    for part, kind in (*((part, SENSOR_KIND) for part in sensors), *((part, UNIT_KIND) for part in units)):
        refuse_unpaired(part, kind)
    kept = [
        PairJudgement(sensor, unit, word, fits)
        for sensor in sensors
        for unit, word in grades.with_each(sensor, units)
        if include_ruled_out or word != "ruled out"
    ]
    return tuple(sorted(kept, key=lambda pair: pair.rank))


def candidates(
    one: Candidate, others: Iterable[Candidate], fits: Fits, *, include_ruled_out: bool = False
) -> tuple[PairJudgement, ...]:
    """The possible mates of one part among others, best first. Others of the wrong kind are skipped.

    Raises Refused if parts of this kind are not paired.
    """
    if one.kind == SENSOR_KIND:
        mates = [part for part in others if part.kind == UNIT_KIND]
        return pairs_among([one], mates, fits, include_ruled_out=include_ruled_out)
    refuse_unpaired(one, UNIT_KIND)
    mates = [part for part in others if part.kind == SENSOR_KIND]
    return pairs_among(mates, [one], fits, include_ruled_out=include_ruled_out)


def refuse_unpaired(part: Candidate, expected: str) -> None:
    """Refuse a part that is not of the expected kind."""
    if part.kind == expected:
        return
    if part.kind in PAIRED_KINDS:
        raise Refused("not-a-pair", f"{part.tag} is a {part.kind}; a {expected} is needed here", where=part.tag)
    raise Refused(
        "no-pair-for-kind",
        f"{part.tag} cannot be paired: it is of the kind {part.kind}",
        where=part.tag,
        hint=f"a {SENSOR_KIND} goes with a {UNIT_KIND}",
    )


def _sentence(grade_word: Grade, found: tuple[Finding, ...], lowest: Sequence[Finding], failed: str) -> str:
    """The sentence for people: the codes, the findings that keep the grade down, and then the tests that failed."""
    if grade_word == "ruled out":
        return f"{_NOT_A_PAIR}: {'; '.join(finding.says for finding in lowest)}"
    if grade_word == "confirmed" and failed:
        return f"belong together; {failed}"
    if grade_word == "confirmed":
        return "; ".join([finding.says for finding in lowest][1:])
    told = [finding.says for finding in found if finding.about == "codes"]
    told += [finding.says for finding in lowest]
    return "; ".join(dict.fromkeys([*told, *([failed] if failed else [])]))


def _how_to_lift(lowest: Sequence[Finding], step: str) -> Reason:
    facts = tuple(dict.fromkeys(fact for finding in lowest for fact in finding.reason.facts))
    says = f"{_NOT_A_PAIR}; to change that: {step}"
    return Reason(says, "ruled out until this is done", standing=WORKSHOP, facts=facts)


def _both_serviceable(sensor: Candidate, unit: Candidate) -> Reason:
    """The reason for the probability that both are serviceable."""
    return Reason(
        f"serviceable: sensor {sensor.p_serviceable:.0%}, control unit {unit.p_serviceable:.0%}, "
        f"both {sensor.p_serviceable * unit.p_serviceable:.0%}; see the evidence of each",
        "assumed: the two fail independently of each other",
        standing=WORKSHOP,
    )
