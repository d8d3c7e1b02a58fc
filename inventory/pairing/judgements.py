"""Who belongs with whom: the grade of a sensor and a control unit, and the candidates for one of them. Pure.

Confirmed, probable, possible, ruled out: the lowest ceiling among the findings decides. A grade is about the pair as it
left the factory, or as a specialist set it; whether both still work is the probability beside it. The shelf as a whole
is paired in `plan`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from inventory.errors import Refused
from inventory.pairing.candidate import PAIRED_KINDS, SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.findings.by_part import GRADES, Finding, Grade
from inventory.pairing.findings.fit import Fits
from inventory.pairing.findings.likeness import Grades
from inventory.pairing.findings.together import ceiling, findings_of
from inventory.reasons import WORKSHOP, Reason

__all__ = ["PairJudgement", "candidates", "grade", "pairs_among", "refuse_unpaired"]

_NOTHING_HIGHER = "no further step would raise this grade"


@dataclass(frozen=True)
class PairJudgement:
    """One sensor with one control unit: the two, the grade, and the words for it, made when they are asked for.

    Of a hundred thousand pairs most are only counted and sorted.
    """

    sensor_half: Candidate
    unit_half: Candidate
    grade: Grade
    fits: Fits

    @property
    def sensor(self) -> str:
        """The sensor's tag."""
        return self.sensor_half.tag

    @property
    def unit(self) -> str:
        """The control unit's tag."""
        return self.unit_half.tag

    @property
    def p_both_serviceable(self) -> float:
        """How likely both are serviceable, 0 to 1."""
        return self.sensor_half.p_serviceable * self.unit_half.p_serviceable

    @property
    def documents(self) -> int:
        """How many documents there are of both together."""
        return self.sensor_half.document_count + self.unit_half.document_count

    @property
    def rank(self) -> tuple[int, float, int, str, str]:
        """Sorts best first: grade, then p both serviceable, then documents, then tags."""
        return (GRADES.index(self.grade), -self.p_both_serviceable, -self.documents, self.sensor, self.unit)

    @cached_property
    def says(self) -> str:
        """The trade's sentence."""
        return _sentence(self.grade, self._found, self._holding)

    @cached_property
    def next_step(self) -> str:
        """The cheapest way to raise the grade."""
        steps = dict.fromkeys(finding.step for finding in self._holding if finding.step)
        return "; then ".join(steps) or _NOTHING_HIGHER

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """What the grade rests on, and the probability beside it."""
        reasons = tuple(finding.reason for finding in self._found)
        if self.grade == "ruled out":
            reasons += (_what_would_lift_it(self._holding, self.next_step),)
        return (*reasons, _both_serviceable(self.sensor_half, self.unit_half))

    def as_dict(self) -> dict[str, object]:
        """The object that stands in a JSON `pairs` list."""
        return {
            "sensor": self.sensor,
            "unit": self.unit,
            "grade": self.grade,
            "p_both_serviceable": self.p_both_serviceable,
            "next_step": self.next_step,
            "reasons": [reason.as_dict() for reason in self.reasons],
        }

    @cached_property
    def _found(self) -> tuple[Finding, ...]:
        return findings_of(self.sensor_half, self.unit_half, self.fits)

    @cached_property
    def _holding(self) -> list[Finding]:
        return [finding for finding in self._found if finding.ceiling == self.grade and finding.says]


def grade(sensor: Candidate, unit: Candidate, fits: Fits) -> PairJudgement:
    """The grade of one sensor with one control unit, with its reasons. Raises Refused for kinds that are not paired."""
    refuse_unpaired(sensor, SENSOR_KIND)
    refuse_unpaired(unit, UNIT_KIND)
    return PairJudgement(sensor, unit, ceiling(sensor, unit, fits), fits)


def pairs_among(
    sensors: Iterable[Candidate], units: Iterable[Candidate], fits: Fits, *, include_ruled_out: bool = False
) -> tuple[PairJudgement, ...]:
    """Every sensor with every control unit, best first; those ruled out only where asked for."""
    sensors, units, grades = list(sensors), list(units), Grades(fits)
    for half, kind in (*((half, SENSOR_KIND) for half in sensors), *((half, UNIT_KIND) for half in units)):
        refuse_unpaired(half, kind)
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
    """The mates of one part among others, best first. Others that are no mate by kind are passed over.

    Raises Refused where no pair exists for the part's kind.
    """
    if one.kind == SENSOR_KIND:
        mates = [half for half in others if half.kind == UNIT_KIND]
        return pairs_among([one], mates, fits, include_ruled_out=include_ruled_out)
    refuse_unpaired(one, UNIT_KIND)
    mates = [half for half in others if half.kind == SENSOR_KIND]
    return pairs_among(mates, [one], fits, include_ruled_out=include_ruled_out)


def refuse_unpaired(half: Candidate, expected: str) -> None:
    """Refuse a part of a kind that is not wanted here, or that goes in no pair."""
    if half.kind == expected:
        return
    if half.kind in PAIRED_KINDS:
        raise Refused("not-a-pair", f"{half.tag} is a {half.kind}; a {expected} is needed here", where=half.tag)
    raise Refused(
        "no-pair-for-kind",
        f"{half.tag} goes in no pair: it is of the kind {half.kind}",
        where=half.tag,
        hint=f"a {SENSOR_KIND} goes with a {UNIT_KIND}",
    )


def _sentence(lowest: Grade, found: tuple[Finding, ...], holding: Sequence[Finding]) -> str:
    """The trade's sentence: what the codes say, then what else holds the pair where it is."""
    if lowest == "ruled out":
        return f"{_verdict(holding)}: {'; '.join(finding.says for finding in holding)}"
    told = [finding.says for finding in found if finding.about == "codes" or finding in holding]
    if lowest == "confirmed":
        return "; ".join(told[1:])
    return "; ".join(dict.fromkeys(told))


def _verdict(holding: Sequence[Finding]) -> str:
    """A pair ruled out by a test alone may well have left the factory together; it does not work as one."""
    by_test = all(finding.about == "test" for finding in holding)
    return "not a factory pair that works" if by_test else "not a factory pair"


def _what_would_lift_it(holding: Sequence[Finding], step: str) -> Reason:
    facts = tuple(dict.fromkeys(fact for finding in holding for fact in finding.reason.facts))
    says = f"{_verdict(holding)}; what would lift it: {step}"
    return Reason(says, "ruled out until what rules it out is lifted", standing=WORKSHOP, facts=facts)


def _both_serviceable(sensor: Candidate, unit: Candidate) -> Reason:
    """What the probability beside the grade rests on."""
    return Reason(
        f"serviceable: sensor {sensor.p_serviceable:.0%}, control unit {unit.p_serviceable:.0%}, "
        f"both {sensor.p_serviceable * unit.p_serviceable:.0%}; see the evidence of each",
        "the two are taken to fail independently of each other",
        standing=WORKSHOP,
    )
