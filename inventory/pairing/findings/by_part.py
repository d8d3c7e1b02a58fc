"""The single findings that a pair's grade is made of: numbers, codes, seals, the control unit, tests.

Each function looks at one thing and says how high a pair can stand with it (its ceiling), in the trade's words, what
would lift it, and why. `judgements.grade` takes the lowest ceiling. The codes have `code_findings`. Pure.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from inventory.pairing.candidate import SENSOR_KIND, Candidate, SealNoted, Setting
from inventory.pairing.findings.codes import reading
from inventory.pairing.findings.fit import Fit, Fits
from inventory.reasons import COMMON_PRACTICE, WORKSHOP, Reason, Standing

__all__ = [
    "ASK_ONLY",
    "ASK_SPECIALIST",
    "GRADES",
    "ONLY_A_PAPER",
    "SHOW_IT",
    "SLANTING_LIGHT",
    "Finding",
    "Grade",
    "Subject",
    "beside",
    "code_step",
    "control_unit",
    "failures",
    "name",
    "note",
    "numbers",
    "seal_facts",
    "seals_never_noted",
    "sensor_seals",
    "sensor_worked_on",
    "trade",
]

Grade = Literal["confirmed", "probable", "possible", "ruled out"]
GRADES: tuple[Grade, ...] = ("confirmed", "probable", "possible", "ruled out")
"""Best first."""

Subject = Literal["numbers", "codes", "seals", "control unit", "test", "note"]

ONLY_A_PAPER = "only a specialist's setting, with a paper that names this control unit, would raise it"
_ON_THE_CAR = f"measure the mixture on the running car with this pair; else {ONLY_A_PAPER}"
SHOW_IT = f"sweep the sensor beside one that is trusted, or {_ON_THE_CAR}"
_ASK = "ask the specialist which control unit it was set for and note it"
ASK_SPECIALIST = f"{_ASK}; else {_ON_THE_CAR}"
ASK_ONLY = f"{_ASK}; else {ONLY_A_PAPER}"
SLANTING_LIGHT = "in slanting light and compare dated pictures; do not scrape or sand the mark"


@dataclass(frozen=True)
class Finding:
    """One thing found: how high the pair can stand with it, what is said of it, what would lift it, and the reason."""

    about: Subject
    ceiling: Grade
    says: str
    step: str
    reason: Reason


def trade(says: str, rule: str, *facts: str) -> Reason:
    """A reason of the trade: common practice, no source. Facts given twice or empty are told once or not at all."""
    return _reason(says, rule, "no source", COMMON_PRACTICE, facts)


def note(says: str, rule: str, *facts: str) -> Finding:
    """A finding of the trade that lowers nothing and is told all the same."""
    return Finding("note", "confirmed", "", "", trade(says, rule, *facts))


def name(half: Candidate) -> str:
    """A part as it is spoken of here: "sensor K4127-7"."""
    return f"{'sensor' if half.kind == SENSOR_KIND else 'control unit'} {half.tag}"


def code_step(half: Candidate) -> str:
    """The cheapest way to a code that counts, where none does."""
    match reading(half).state:
        case "label gone" | "never fitted":
            return f"no code is left to read on {name(half)}: look for a dated picture that shows one"
        case "unreadable" | "doubtful":
            return f"read the code on {name(half)} again {SLANTING_LIGHT}"
        case "by others":
            return f"read the code on {name(half)} itself"
        case _:
            return f"look for the code on {name(half)}"


def _workshop(says: str, rule: str, *facts: str) -> Reason:
    return _reason(says, rule, "", WORKSHOP, facts)


def _reason(says: str, rule: str, source: str, standing: Standing, facts: tuple[str, ...]) -> Reason:
    return Reason(says, rule, source, standing, tuple(dict.fromkeys(fact for fact in facts if fact)))


def numbers(sensor: Candidate, unit: Candidate, fits: Fits) -> Finding:
    """Part numbers that are not known to fit rule a pair out: codes are compared only within numbers that fit."""
    rule = "codes are compared only within part numbers that fit each other; superseded numbers count as one"
    fit = fits.judge(sensor.part_number_squeezed, unit.part_number_squeezed)
    both = f"{sensor.part_number} and {unit.part_number}"
    way = ", by way of superseded numbers" if fit.by_supersession else ""
    if fit.fits:
        reason = trade(
            f"numbers {both} fit{way}{_against(fit)}", rule, *fit.facts, *fit.against, sensor.fact, unit.fact
        )
        return Finding("numbers", "confirmed", "numbers fit", "", reason)
    bare = [half for half in (sensor, unit) if not half.part_number_squeezed]
    if bare:
        says = f"no part number on record for {' and '.join(map(name, bare))}, so nothing says that the two fit"
        step = f"read the part number on {' and '.join(map(name, bare))}"
    elif fit.said:
        says = f"numbers {both} do not fit{way}{_against(fit)}"
        step = "read both part numbers again; if what is noted under fits is wrong, take it back"
        return Finding("numbers", "ruled out", says, step, trade(says, rule, *fit.facts, *fit.against))
    elif fits.knows(sensor.part_number_squeezed) or fits.knows(unit.part_number_squeezed):
        says = f"numbers {both} do not fit"
        step = "read both part numbers again; if a list pairs them, or one has replaced another, note that"
    else:
        says = f"nothing on record says that numbers {both} fit"
        step = "if a list pairs these two numbers, note it under fits"
    return Finding("numbers", "ruled out", says, step, trade(says, rule, sensor.fact, unit.fact))


def _against(fit: Fit) -> str:
    """That the rows of the list contradict each other, where they do."""
    return "; what is noted under fits contradicts itself, and the last word counts" if fit.against else ""


def sensor_seals(sensor: Candidate) -> Finding:
    """What guards the sensor's adjuster: intact confirms, not seen is a doubt, broken no longer proves the setting."""
    rule = (
        "an intact seal shows that the factory's setting stands; one never fitted counts as intact; "
        "caps perish: a broken seal lowers a pair, it does not forbid it"
    )
    if sensor.setting is not None and (sensor.setting.unit or sensor.setting.unit_number_squeezed):
        return _seals_since(sensor, sensor.setting)
    words, facts = f"sensor {_seals_in_words(sensor)}", seal_facts(sensor)
    match sensor.seal_state:
        case "intact" | "never fitted":
            says = "sensor seals intact" if sensor.seal_state == "intact" else "the sensor never had a seal"
            every = ", ".join(f"{seal.seal} {seal.state}" for seal in sensor.seals_noted)
            reason = trade(f"{says}{f' ({every})' if every else ''}", rule, *facts)
            return Finding("seals", "confirmed", says, "", reason)
        case "not seen":
            says = words if sensor.seals_noted else "no seal of the sensor noted"
            seals = ", ".join([seal.seal for seal in _deciding(sensor)] or sensor.seals_never_noted) or "its seals"
            step = f"look at {name(sensor)} and note: {seals}"
            return Finding("seals", "probable", says, step, trade(says, rule, *facts))
        case "renewed":
            return Finding("seals", "possible", words, ASK_SPECIALIST, trade(f"{words} by a specialist", rule, *facts))
        case "disturbed" | "missing":
            step = "find the specialist's paper and file it" if _renewed_without_paper(sensor) else SHOW_IT
            says = f"{words}: a code says how the two left the factory, no longer how the sensor is set today"
            return Finding("seals", "possible", words, step, trade(says, rule, *facts))


def _seals_since(sensor: Candidate, paper: Setting) -> Finding:
    """After a specialist's setting only what was found broken since speaks against it."""
    rule = "after a specialist's setting only a seal found broken since lowers a pair"
    broken = [
        seal
        for seal in sensor.seals_noted
        if seal.at > paper.at and (seal.state in ("missing", "disturbed") or _unproved(seal))
    ]
    facts = tuple(seal.fact for seal in broken)
    if broken:
        says = f"sensor {' and '.join(seal.seal for seal in broken)} found broken since the specialist's setting"
        return Finding("seals", "possible", says, SHOW_IT, trade(says, rule, *facts))
    says = "no seal of the sensor found broken since the specialist's setting"
    return Finding("seals", "confirmed", says, "", trade(says, rule, *seal_facts(sensor)))


def _unproved(seal: SealNoted) -> bool:
    return seal.state == "renewed" and not seal.has_document


def seals_never_noted(sensor: Candidate) -> Iterator[Finding]:
    """Seals of the sensor that nobody has said anything about: named, beside those noted."""
    if sensor.seals_never_noted and sensor.seals_noted:
        says = f"nothing noted on the sensor's {', '.join(sensor.seals_never_noted)}"
        yield note(says, "seals never noted do not lower a pair; they are named")


def sensor_worked_on(sensor: Candidate) -> Iterator[Finding]:
    """Work on the sensor itself: told, lowers nothing, for its seals say whether the setting was disturbed."""
    if sensor.opened is not None:
        says = f"work on the sensor itself: {sensor.opened.says}; look at its seals again if none was noted since"
        yield note(says, "the sensor's seals show whether its setting was disturbed", sensor.opened.fact)


def control_unit(sensor: Candidate, unit: Candidate) -> Finding:
    """Whether anything on record says that the control unit was opened or trimmed inside; no seal noted is no bar.

    A specialist's paper that names this very unit took it as it was: only what came since counts.
    """
    rule = (
        "a control unit opened or trimmed inside no longer proves the factory's setting; no seal noted on it is no bar"
    )
    facts = seal_facts(unit)
    paper = sensor.setting
    if paper is not None and paper.unit == unit.tag and unit.changed <= paper.at:
        says = f"nothing on record against {name(unit)} since the specialist's setting"
        return Finding("control unit", "confirmed", "", "", trade(says, rule, *facts))
    if unit.opened is not None:
        says, facts = f"work on the control unit itself: {unit.opened.says}", (unit.opened.fact,)
    elif unit.seal_state in ("disturbed", "missing", "renewed"):
        says = f"control unit {_seals_in_words(unit)}"
    else:
        reason = trade("nothing on record against the control unit", rule, *facts)
        return Finding("control unit", "confirmed", "", "", reason)
    step = f"find out whether {name(unit)} was opened and what was changed inside"
    return Finding("control unit", "possible", says, step, trade(says, rule, *facts))


def failures(sensor: Candidate, unit: Candidate) -> Iterator[Finding]:
    """A decisive test failed by either rules the pair out until that part passes it."""
    for half in (sensor, unit):
        if half.decisive_failure is not None:
            says = f"{name(half)} {half.decisive_failure.says}"
            step = f"have {name(half)} repaired and tested again"
            reason = _workshop(says, "a decisive test failed by either rules the pair out", half.decisive_failure.fact)
            yield Finding("test", "ruled out", says, step, reason)


def beside(sensor: Candidate, unit: Candidate) -> Iterator[Finding]:
    """Told, and lowers nothing: which of the two is on a car or kept back, and how the outside knob stands."""
    for half in (sensor, unit):
        if half.fitted_to:
            yield _told(f"{name(half)} is fitted to {half.fitted_to}", "where a part is does not lower a pair")
        if half.away:
            yield _told(f"{name(half)} is {half.away}", "where a part is does not lower a pair")
        if half.reserved is not None:
            says = f"{name(half)} is reserved{f': {half.reserved.says}' if half.reserved.says else ''}"
            yield _told(says, "a part kept back is left out of the plan; its grade stays", half.reserved.fact)
    if unit.knob is not None:
        says = f"outside idle-mixture knob of {name(unit)}: {unit.knob.says}"
        yield note(says, "the outside knob trims idling only and does not lower a pair", unit.knob.fact)


def _told(says: str, rule: str, *facts: str) -> Finding:
    return Finding("note", "confirmed", "", "", _workshop(says, rule, *facts))


def seal_facts(half: Candidate) -> tuple[str, ...]:
    """The facts that its seal sightings are."""
    return tuple(seal.fact for seal in half.seals_noted)


def _deciding(half: Candidate) -> tuple[SealNoted, ...]:
    """The seals that make the worst state; renewed without a document counts as disturbed."""
    return tuple(
        seal
        for seal in half.seals_noted
        if half.seal_state == ("disturbed" if seal.state == "renewed" and not seal.has_document else seal.state)
    )


def _renewed_without_paper(half: Candidate) -> bool:
    """Whether nothing but a missing document stands between the deciding seals and "renewed"."""
    deciding = _deciding(half)
    return bool(deciding) and all(seal.state == "renewed" and not seal.has_document for seal in deciding)


def _seals_in_words(half: Candidate) -> str:
    """The deciding seals and how they stand: "cap missing", "cap and label renewed without a paper"."""
    which = " and ".join(seal.seal for seal in _deciding(half)) or "seal"
    return f"{which} {'renewed without a paper' if _renewed_without_paper(half) else half.seal_state}"
