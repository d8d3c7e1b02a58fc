"""The finding from a specialist's paper on a sensor. Pure.

After a specialist's setting the factory's letter on the sensor no longer counts. What counts is the control unit that
the paper names, by its tag or by its number and code. If it names none, every pair is possible.
"""

from __future__ import annotations

from inventory.pairing.candidate import Candidate, Setting
from inventory.pairing.findings.by_part import (
    ASK_SPECIALIST,
    SLANTING_LIGHT,
    Finding,
    code_step,
    name,
    seal_facts,
    trade_reason,
)
from inventory.pairing.findings.codes import Reading, compare, look_alikes, reading, reading_of
from inventory.pairing.findings.fit import Fits

__all__ = ["by_paper", "set_by_specialist"]

_RULE = "after a specialist's setting the factory's code on the sensor no longer counts; the paper does"
_SET_ANEW = "have a specialist set the sensor for this control unit, with a paper that names it"


def set_by_specialist(part: Candidate) -> bool:
    """Whether a specialist has set it since the factory: there is a paper, or a seal renewed with one."""
    if part.setting is not None or part.seal_state == "renewed":
        return True
    return any(seal.state == "renewed" and seal.has_document for seal in part.seals_noted)


def by_paper(sensor: Candidate, unit: Candidate, fits: Fits) -> Finding:
    """The finding from the paper, for a sensor that a specialist has set."""
    paper = sensor.setting
    if paper is None or not (paper.unit or paper.unit_number_squeezed):
        says = "a specialist has set the sensor since: the factory's code on it no longer counts"
        facts = (paper.fact,) if paper is not None else seal_facts(sensor)
        why = f"{says}, and no paper names the control unit it was set for"
        return Finding("codes", "possible", says, ASK_SPECIALIST, trade_reason(why, _RULE, *facts))
    if paper.unit:
        return _names_tag(paper, unit)
    return _names_number(paper, unit, fits)


def _names_tag(paper: Setting, unit: Candidate) -> Finding:
    if paper.unit == unit.tag:
        says = f"a specialist's paper says that the sensor was set for {name(unit)}"
        return Finding("codes", "confirmed", says, "", trade_reason(f"{says}{_dated(paper)}", _RULE, paper.fact))
    says = f"a specialist's paper says that the sensor was set for control unit {paper.unit}"
    return Finding("codes", "ruled out", says, _SET_ANEW, trade_reason(f"{says}{_dated(paper)}", _RULE, paper.fact))


def _names_number(paper: Setting, unit: Candidate, fits: Fits) -> Finding:
    named = f"control unit {paper.unit_number}, code {paper.unit_code}"
    says = f"a specialist's paper says that the sensor was set for {named}"
    facts = (paper.fact, unit.fact, unit.code_fact)
    told, written = f"{says}{_dated(paper)}", reading_of(paper.unit_code)
    other_number = fits.family_of(paper.unit_number_squeezed) != fits.family_of(unit.part_number_squeezed)
    match "different" if other_number else compare(written, reading(unit)):
        case "equal":
            return Finding("codes", "confirmed", says, "", trade_reason(told, _RULE, *facts))
        case "different":
            step = _SET_ANEW if other_number else _step_when_different(written, unit)
            return Finding("codes", "ruled out", says, step, trade_reason(told, _RULE, *facts))
        case _ if not written.clear:
            short = f"{says}, and that code is not clear"
            return Finding(
                "codes", "possible", short, ASK_SPECIALIST, trade_reason(f"{told}; {written.says}", _RULE, *facts)
            )
        case _:
            why = f"{told}; code of {name(unit)}: {reading(unit).says}"
            short = f"{says}, and no code is clearly read on {name(unit)}"
            return Finding("codes", "possible", short, code_step(unit), trade_reason(why, _RULE, *facts))


def _step_when_different(written: Reading, unit: Candidate) -> str:
    """Have it set for this unit, unless one of the two codes may be misread."""
    if not look_alikes(written, reading(unit)):
        return _SET_ANEW
    code = " or ".join(written.may_be)
    return (
        f"read again: {code} and {unit.match_code} look alike when worn; read the paper again, "
        f"and the code on {name(unit)} {SLANTING_LIGHT}"
    )


def _dated(paper: Setting) -> str:
    return f" ({paper.on})" if paper.on else ""
