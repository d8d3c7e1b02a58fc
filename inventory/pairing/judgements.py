"""Who belongs with whom: the grade of a sensor and a control unit, and the candidates for one of them. Pure.

Confirmed, probable, possible, ruled out: the lowest ceiling among the findings decides. A grade is about the pair as it
left the factory; whether both still work is the probability beside it. The shelf as a whole is paired in `plan`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.errors import Refused
from inventory.pairing.code_findings import code_notes, codes
from inventory.pairing.findings import (
    GRADES,
    Finding,
    Grade,
    control_unit,
    failures,
    fitted,
    numbers,
    seals_never_noted,
    sensor_seals,
    sensor_worked_on,
)
from inventory.pairing.fit import Fits
from inventory.pairing.halves import PAIRED_KINDS, SENSOR_KIND, UNIT_KIND, Half
from inventory.pairing.shown import lifted
from inventory.reasons import WORKSHOP, Reason

__all__ = ["PairJudgement", "candidates", "grade", "pairs_among"]

_NOTHING_HIGHER = "nothing would raise the grade further"


@dataclass(frozen=True)
class PairJudgement:
    """One sensor with one control unit: tags, grade, the trade's sentence, the cheapest next step, reasons.

    `p_both_serviceable` lies in 0 to 1; `documents` counts those of both parts.
    """

    sensor: str
    unit: str
    grade: Grade
    p_both_serviceable: float
    says: str
    next_step: str
    reasons: tuple[Reason, ...]
    documents: int

    @property
    def rank(self) -> tuple[int, float, int, str, str]:
        """Sorts best first: grade, then p both serviceable, then documents, then tags."""
        return (GRADES.index(self.grade), -self.p_both_serviceable, -self.documents, self.sensor, self.unit)

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


def grade(sensor: Half, unit: Half, fits: Fits) -> PairJudgement:
    """The grade of one sensor with one control unit, with its reasons. Raises Refused for kinds that are not paired."""
    _refuse_unpaired(sensor, SENSOR_KIND)
    _refuse_unpaired(unit, UNIT_KIND)
    found = lifted(_findings(sensor, unit, fits), sensor, unit)
    lowest = max((finding.ceiling for finding in found), key=GRADES.index)
    holding = [finding for finding in found if finding.ceiling == lowest and finding.says]
    next_step = "; then ".join(dict.fromkeys(finding.step for finding in holding if finding.step)) or _NOTHING_HIGHER
    reasons = tuple(finding.reason for finding in found)
    if lowest == "ruled out":
        reasons += (_what_would_lift_it(holding, next_step),)
    return PairJudgement(
        sensor=sensor.tag,
        unit=unit.tag,
        grade=lowest,
        p_both_serviceable=sensor.p_serviceable * unit.p_serviceable,
        says=_sentence(lowest, found, holding),
        next_step=next_step,
        reasons=(*reasons, _both_serviceable(sensor, unit)),
        documents=sensor.document_count + unit.document_count,
    )


def pairs_among(
    sensors: Iterable[Half], units: Iterable[Half], fits: Fits, *, include_ruled_out: bool = False
) -> tuple[PairJudgement, ...]:
    """Every sensor with every control unit, best first; those ruled out only where asked for."""
    units = tuple(units)
    judged = (grade(sensor, unit, fits) for sensor in sensors for unit in units)
    kept = (pair for pair in judged if include_ruled_out or pair.grade != "ruled out")
    return tuple(sorted(kept, key=lambda pair: pair.rank))


def candidates(
    one: Half, others: Iterable[Half], fits: Fits, *, include_ruled_out: bool = False
) -> tuple[PairJudgement, ...]:
    """The mates of one part among others, best first. Others that are no mate by kind are passed over.

    Raises Refused where no pair exists for the part's kind.
    """
    if one.kind == SENSOR_KIND:
        mates = [half for half in others if half.kind == UNIT_KIND]
        return pairs_among([one], mates, fits, include_ruled_out=include_ruled_out)
    _refuse_unpaired(one, UNIT_KIND)
    mates = [half for half in others if half.kind == SENSOR_KIND]
    return pairs_among(mates, [one], fits, include_ruled_out=include_ruled_out)


def _findings(sensor: Half, unit: Half, fits: Fits) -> tuple[Finding, ...]:
    """Everything found about the two, in the order it is told."""
    return (
        numbers(sensor, unit, fits),
        codes(sensor, unit),
        *code_notes(sensor, unit),
        sensor_seals(sensor),
        *seals_never_noted(sensor),
        *sensor_worked_on(sensor),
        control_unit(unit),
        *failures(sensor, unit),
        *fitted(sensor, unit),
    )


def _refuse_unpaired(half: Half, expected: str) -> None:
    if half.kind == expected:
        return
    if half.kind in PAIRED_KINDS:
        raise Refused("not-a-pair", f"{half.tag} is a {half.kind}, and a {expected} is wanted here", where=half.tag)
    raise Refused(
        "no-pair-for-kind",
        f"no pair exists for this kind: {half.kind}",
        where=half.tag,
        hint=f"a {SENSOR_KIND} goes with a {UNIT_KIND}",
    )


def _sentence(lowest: Grade, found: tuple[Finding, ...], holding: list[Finding]) -> str:
    """The trade's sentence: what the codes say, then what else holds the pair where it is."""
    if lowest == "ruled out":
        return f"{_verdict(holding)}: {'; '.join(finding.says for finding in holding)}"
    told = [finding.says for finding in found if finding.about == "codes" or finding in holding]
    if lowest == "confirmed":
        return "; ".join(told[1:])
    return "; ".join(dict.fromkeys(told))


def _verdict(holding: list[Finding]) -> str:
    """A pair ruled out by a test alone may well have left the factory together; it does not work as one."""
    by_test = all(finding.about == "test" for finding in holding)
    return "not a factory pair that works" if by_test else "not a factory pair"


def _what_would_lift_it(holding: list[Finding], step: str) -> Reason:
    facts = tuple(dict.fromkeys(fact for finding in holding for fact in finding.reason.facts))
    says = f"{_verdict(holding)}; what would lift it: {step}"
    return Reason(says, "ruled out until what rules it out is lifted", standing=WORKSHOP, facts=facts)


def _both_serviceable(sensor: Half, unit: Half) -> Reason:
    """What the probability beside the grade rests on."""
    return Reason(
        f"serviceable: sensor {sensor.p_serviceable:.0%}, control unit {unit.p_serviceable:.0%}, "
        f"both {sensor.p_serviceable * unit.p_serviceable:.0%}; see the evidence of each",
        "the two are taken to fail independently of each other",
        standing=WORKSHOP,
    )
