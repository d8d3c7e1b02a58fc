"""The findings on numbers, seals and work of a pair. Pure.

Each function checks one thing and returns the highest grade it allows (the ceiling), a sentence, the step that would
raise it, and the reason. `judgements.grade` takes the lowest ceiling. The codes are in `by_code`, the tests, which
change no grade, in `by_test`.
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
    "code_step",
    "contradicted",
    "control_unit",
    "name",
    "note",
    "notes_on_use",
    "numbers",
    "opened_since_set",
    "seal_facts",
    "seals_never_noted",
    "sensor_seals",
    "sensor_worked_on",
    "trade_reason",
]

Grade = Literal["confirmed", "probable", "possible", "ruled out"]
GRADES: tuple[Grade, ...] = ("confirmed", "probable", "possible", "ruled out")
"""Best first."""

Subject = Literal["numbers", "codes", "seals", "sensor", "control unit", "whereabouts", "test", "note"]

ONLY_A_PAPER = "only a specialist's setting, with a paper that names this control unit, would raise it"
_ON_THE_CAR = f"measure the mixture on the running car with this pair; else {ONLY_A_PAPER}"
SHOW_IT = f"sweep the sensor and compare it with a trusted one, or {_ON_THE_CAR}"
_ASK = "ask the specialist which control unit it was set for and note it"
ASK_SPECIALIST = f"{_ASK}; else {_ON_THE_CAR}"
ASK_ONLY = f"{_ASK}; else {ONLY_A_PAPER}"
SLANTING_LIGHT = "in slanting light and compare dated pictures; do not scrape or sand the mark"


@dataclass(frozen=True)
class Finding:
    """One finding: its ceiling, its sentence, the step that would raise the ceiling, and the reason."""

    about: Subject
    ceiling: Grade
    says: str
    step: str
    reason: Reason


def trade_reason(says: str, rule: str, *facts: str) -> Reason:
    """A reason that is common practice, without a source. Empty and repeated facts are dropped."""
    return _reason(says, rule, "no source", COMMON_PRACTICE, facts)


def note(says: str, rule: str, *facts: str) -> Finding:
    """A finding that lowers nothing, with a reason that is common practice."""
    return Finding("note", "confirmed", "", "", trade_reason(says, rule, *facts))


def name(part: Candidate) -> str:
    """A part in a sentence: "sensor K4127-7"."""
    return f"{'sensor' if part.kind == SENSOR_KIND else 'control unit'} {part.tag}"


def code_step(part: Candidate) -> str:
    """The cheapest way to get a code that counts."""
    match reading(part).state:
        case "label gone" | "never fitted":
            return f"no code is left to read on {name(part)}: look for a dated picture that shows one"
        case "unreadable" | "doubtful" | "one of several":
            return f"read the code on {name(part)} again {SLANTING_LIGHT}"
        case "by others":
            return f"read the code on {name(part)} itself"
        case _:
            return f"look for the code on {name(part)}"


def _workshop(says: str, rule: str, *facts: str) -> Reason:
    return _reason(says, rule, "", WORKSHOP, facts)


def _reason(says: str, rule: str, source: str, standing: Standing, facts: tuple[str, ...]) -> Reason:
    return Reason(says, rule, source, standing, tuple(dict.fromkeys(fact for fact in facts if fact)))


def numbers(sensor: Candidate, unit: Candidate, fits: Fits) -> Finding:
    """The finding on part numbers. A number that is not among those on record for the other rules a pair out.

    If no row says of either what it fits, or a number is not on record, the pair is possible at best.
    """
    rule = "codes are compared only within part numbers that fit each other; superseded numbers count as one"
    fit = fits.judge(sensor.part_number_squeezed, unit.part_number_squeezed)
    both = f"{sensor.part_number} and {unit.part_number}"
    way = ", through superseded numbers" if fit.by_supersession else ""
    if fit.fits:
        reason = trade_reason(
            f"numbers {both} fit{way}{_contradicted(fit)}", rule, *fit.facts, *fit.against, sensor.fact, unit.fact
        )
        return Finding("numbers", "confirmed", "numbers fit", "", reason)
    bare = [part for part in (sensor, unit) if not part.part_number_squeezed]
    if bare:
        says = f"no number on record for {' and '.join(map(name, bare))}"
        step = f"read the part number on {' and '.join(map(name, bare))}"
        return Finding("numbers", "possible", says, step, trade_reason(says, rule, sensor.fact, unit.fact))
    if fit.said:
        says = f"numbers {both} do not fit{way}{_contradicted(fit)}"
        step = "read both part numbers again; if the entry under fits is wrong, take it back"
        return Finding("numbers", "ruled out", says, step, trade_reason(says, rule, *fit.facts, *fit.against))
    if fit.unknown:
        says = f"nothing on record about whether numbers {both} fit"
        step = "if a list pairs these two numbers, note it under fits"
        return Finding("numbers", "possible", says, step, trade_reason(says, rule, sensor.fact, unit.fact))
    known, other = (sensor, unit) if fits.knows(sensor.part_number_squeezed) else (unit, sensor)
    says = f"{other.part_number} is not among the numbers on record for {known.part_number}"
    step = "read both part numbers again; if a list pairs them, or one replaced another, note that"
    return Finding("numbers", "ruled out", says, step, trade_reason(says, rule, sensor.fact, unit.fact))


def _contradicted(fit: Fit) -> str:
    """A remark, if the known fits contradict each other."""
    return "; the entries under fits contradict each other, and the last one counts" if fit.against else ""


def sensor_seals(sensor: Candidate) -> Finding:
    """The finding on the seals of the sensor's adjuster."""
    rule = (
        "an intact seal shows that the factory's setting is unchanged; one never fitted counts as intact; "
        "caps perish, so a broken seal lowers a pair but does not rule it out"
    )
    if sensor.setting is not None and (sensor.setting.unit or sensor.setting.unit_number_squeezed):
        return _seals_since(sensor, sensor.setting)
    words, facts = f"sensor {_seals_in_words(sensor)}", seal_facts(sensor)
    hearsay = [seal for seal in sensor.seals_noted if seal.state == sensor.seal_state and not seal.own]
    match sensor.seal_state:
        case "intact" | "never fitted" if hearsay:
            says = f"sensor {' and '.join(seal.seal for seal in hearsay)} {sensor.seal_state}, not by our own look"
            step = f"look at {name(sensor)} and note: {', '.join(seal.seal for seal in hearsay)}"
            return Finding("seals", "probable", says, step, trade_reason(says, rule, *facts))
        case "intact" | "never fitted":
            says = "sensor seals intact" if sensor.seal_state == "intact" else "the sensor never had a seal"
            every = ", ".join(f"{seal.seal} {seal.state}" for seal in sensor.seals_noted)
            reason = trade_reason(f"{says}{f' ({every})' if every else ''}", rule, *facts)
            return Finding("seals", "confirmed", says, "", reason)
        case "not seen":
            says = words if sensor.seals_noted else "no seal of the sensor noted"
            seals = ", ".join([seal.seal for seal in _deciding(sensor)] or sensor.seals_never_noted) or "its seals"
            step = f"look at {name(sensor)} and note: {seals}"
            return Finding("seals", "probable", says, step, trade_reason(says, rule, *facts))
        case "renewed":
            return Finding(
                "seals", "possible", words, ASK_SPECIALIST, trade_reason(f"{words} by a specialist", rule, *facts)
            )
        case "disturbed" | "missing":
            step = "find the specialist's paper and file it" if _renewed_without_paper(sensor) else SHOW_IT
            says = f"{words}: the code shows how the two left the factory, not how the sensor is set today"
            return Finding("seals", "possible", words, step, trade_reason(says, rule, *facts))


def _seals_since(sensor: Candidate, paper: Setting) -> Finding:
    """The finding on the sensor's seals since a specialist's setting."""
    rule = "after a specialist's setting only a seal found broken since then lowers a pair"
    broken = [
        seal
        for seal in sensor.seals_noted
        if seal.at > paper.at and (seal.state in ("missing", "disturbed") or _unproved(seal))
    ]
    facts = tuple(seal.fact for seal in broken)
    if broken:
        says = f"sensor {' and '.join(seal.seal for seal in broken)} found broken since the specialist's setting"
        return Finding("seals", "possible", says, SHOW_IT, trade_reason(says, rule, *facts))
    says = "no seal of the sensor found broken since the specialist's setting"
    return Finding("seals", "confirmed", says, "", trade_reason(says, rule, *seal_facts(sensor)))


def _unproved(seal: SealNoted) -> bool:
    return seal.state == "renewed" and not seal.has_document


def seals_never_noted(sensor: Candidate) -> Iterator[Finding]:
    """A note on the seals of the sensor that were never noted, if others were."""
    if sensor.seals_never_noted and sensor.seals_noted:
        says = f"nothing is noted about the sensor's {', '.join(sensor.seals_never_noted)}"
        yield note(says, "seals that were never noted do not lower a pair")


def opened_since_set(part: Candidate) -> bool:
    """Whether work on the unit itself counts: there was some, later than the day of a specialist's setting."""
    if part.opened is None or part.setting is None or not part.opened.day:
        return part.opened is not None
    return part.opened.day > part.setting.at.split(" ")[0]


def sensor_worked_on(sensor: Candidate) -> Iterator[Finding]:
    """The finding on work on the sensor itself; work up to the day of a specialist's setting lowers nothing."""
    if sensor.opened is None:
        return
    rule = "a sensor opened or heated may no longer have the setting that it left the factory or the specialist with"
    says = f"work on the sensor itself: {sensor.opened.says}"
    if opened_since_set(sensor):
        yield Finding("sensor", "possible", says, SHOW_IT, trade_reason(says, rule, sensor.opened.fact))
    else:
        yield note(f"{says}, not later than the specialist's setting", rule, sensor.opened.fact)


def control_unit(sensor: Candidate, unit: Candidate) -> Finding:
    """The finding on whether the control unit may have been opened or trimmed inside.

    If a specialist's paper names this unit, only what happened since then counts.
    """
    rule = "a control unit opened or trimmed inside no longer has the factory's setting; it needs no noted seal"
    facts = seal_facts(unit)
    paper = sensor.setting
    if paper is not None and paper.unit == unit.tag and unit.changed <= paper.at:
        says = f"nothing on record against {name(unit)} since the specialist's setting"
        return Finding("control unit", "confirmed", "", "", trade_reason(says, rule, *facts))
    if unit.opened is not None:
        says, facts = f"work on the control unit itself: {unit.opened.says}", (unit.opened.fact,)
    elif unit.seal_state in ("disturbed", "missing", "renewed"):
        says = f"control unit {_seals_in_words(unit)}"
    else:
        reason = trade_reason("nothing on record against the control unit", rule, *facts)
        return Finding("control unit", "confirmed", "", "", reason)
    step = f"find out whether {name(unit)} was opened and what was changed inside"
    return Finding("control unit", "possible", says, step, trade_reason(says, rule, *facts))


def contradicted(sensor: Candidate, unit: Candidate) -> Iterator[Finding]:
    """What does not fit on either, briefly; what it lowers of codes and seals is in the findings on these."""
    rule = "of two looks that cannot both be true the worse counts until it is settled"
    for part in (sensor, unit):
        for each in part.contradictions:
            if each.place_open:
                says, step = f"{name(part)}: its whereabouts count as open", f"settle the whereabouts of {name(part)}"
                reason = _workshop(says, "a part in two places may be two parts", *each.facts)
                yield Finding("whereabouts", "possible", says, step, reason)
            else:
                yield _workshop_note(f"{name(part)}, {each.brief}", rule, *each.facts)


def notes_on_use(sensor: Candidate, unit: Candidate) -> Iterator[Finding]:
    """Notes that lower nothing: a part is on a car, away or reserved; the position of the outside knob."""
    for part in (sensor, unit):
        if part.fitted_to:
            yield _workshop_note(f"{name(part)} is fitted to {part.fitted_to}", "where a part is does not lower a pair")
        if part.away:
            yield _workshop_note(f"{name(part)} is {part.away}", "where a part is does not lower a pair")
        if part.reserved is not None:
            says = f"{name(part)} is reserved{f': {part.reserved.says}' if part.reserved.says else ''}"
            yield _workshop_note(says, "the plan leaves a reserved part out; its grade stays", part.reserved.fact)
    if unit.knob is not None:
        says = f"outside idle-mixture knob of {name(unit)}: {unit.knob.says}"
        yield note(says, "the outside knob trims only the idle mixture and does not lower a pair", unit.knob.fact)


def _workshop_note(says: str, rule: str, *facts: str) -> Finding:
    return Finding("note", "confirmed", "", "", _workshop(says, rule, *facts))


def seal_facts(part: Candidate) -> tuple[str, ...]:
    """The fact ids of its seal sightings."""
    return tuple(seal.fact for seal in part.seals_noted)


def _deciding(part: Candidate) -> tuple[SealNoted, ...]:
    """The seals in the worst state; renewed without a document counts as disturbed."""
    return tuple(
        seal
        for seal in part.seals_noted
        if part.seal_state == ("disturbed" if seal.state == "renewed" and not seal.has_document else seal.state)
    )


def _renewed_without_paper(part: Candidate) -> bool:
    """Whether the deciding seals would all count as renewed if there were a document."""
    deciding = _deciding(part)
    return bool(deciding) and all(seal.state == "renewed" and not seal.has_document for seal in deciding)


def _seals_in_words(part: Candidate) -> str:
    """The deciding seals and their state: "cap missing", "cap and label renewed without a paper"."""
    which = " and ".join(seal.seal for seal in _deciding(part)) or "seal"
    return f"{which} {'renewed without a paper' if _renewed_without_paper(part) else part.seal_state}"
