"""Judges named readings by their limits: volts, amperes, pressures, drops, words. Pure.

Each reading has its own limit, with a guard on either side. A reading without a limit on file is shown, not judged. If
a limit holds only under some condition, that condition must have been noted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.bench.methods.limits.leak_rig import UNPROVED, LeakRig, blank_alone_says
from inventory.bench.methods.limits.values import LimitsInput, ReadValue
from inventory.bench.methods.limits.words import limit_words, reading_reasons, reading_words, run_reasons, without_limit
from inventory.bench.methods.rig_proof import RigProof, proof_reason
from inventory.bench.quantities.units import Quantity, shown
from inventory.bench.verdicts import DIFFERS, GUARD, RunJudgement, Verdict, left_out, with_doubt, worst
from inventory.reasons import COMMON_PRACTICE, Reason

__all__ = ["judge_limits", "verdict_against"]

_ROOT_3 = math.sqrt(3.0)


@dataclass(frozen=True)
class _Judged:
    name: str
    verdict: Verdict
    says: str
    figures: dict[str, object]
    reasons: tuple[Reason, ...]
    limited: bool
    required: bool
    rig: RigProof | None = None


def judge_limits(given: LimitsInput) -> RunJudgement:
    """Judge each reading by its own limit. The verdict of the run is the worst of those with a limit.

    Only what was measured is judged; what was left out is named. A run passes only if every required reading that was
    taken has a limit.
    """
    if not given.readings and given.rig is not None:
        return _blank_alone(given.rig)
    judged = [_judge_one(reading, given) for reading in (*given.readings, *_ratios(given))]
    verdict = worst([one.verdict for one in judged if one.limited])
    missing = _left_out(judged, given)
    if verdict == "pass" and any(one.required and not one.limited for one in judged):
        verdict = "not judged"
    says = "; ".join(one.says for one in judged) + left_out(missing)
    figures: dict[str, object] = {one.name: one.figures for one in judged}
    if given.rig is not None:
        figures |= _rig_figures(judged)
    if given.pair is not None and given.pair.sensor:
        figures["pair"] = {"sensor": given.pair.sensor, "unit": given.pair.unit}
    reasons = [reason for one in judged for reason in one.reasons]
    covers = tuple(one.name for one in judged) if missing else None
    every = (*dict.fromkeys(reasons), *run_reasons(given, missing))
    return RunJudgement(verdict, says, figures, every, covers=covers, whole=len(judged) + len(missing))


def _blank_alone(rig: LeakRig) -> RunJudgement:
    """A run of the plugged rig alone."""
    says = blank_alone_says(rig.blank, rig.step)
    rule = "a blank by itself clears the rig for the day's other runs on it, or shows that it leaks; it judges no unit"
    return RunJudgement("not judged", says, _rig_figures(()), (Reason(says, rule, "no source", COMMON_PRACTICE),))


def _rig_figures(judged: Sequence[_Judged]) -> dict[str, object]:
    """Whether the rig of a leak test that fell short is cleared, and by what; None if it did not fall short."""
    proofs = [one.rig for one in judged if one.rig is not None]
    by = next((proof.cleared_by for proof in proofs if proof.cleared_by), None)
    cleared = all(proof.cleared_by for proof in proofs) if proofs else None
    return {"rig_cleared": cleared, "rig_cleared_by": by, "short_uncleared": cleared is False}


def _left_out(judged: Sequence[_Judged], given: LimitsInput) -> list[str]:
    """The readings of the procedure that could be judged and were not taken.

    One may be taken instead of another, a ratio is computed, and a loom without a list of pins has others as well.
    """
    read = {one.name for one in judged} | {reading.limit.spec.name for reading in given.readings}
    specs = [limit.spec for limit in given.limits]
    left = [
        spec.name
        for spec in specs
        if not {spec.name, spec.instead} & read
        and spec.form not in ("ratio", "each pin", "between pins")
        and (spec.required or spec.good or (spec.low, spec.high) != (None, None))
    ]
    no_list = given.unread is None and any(spec.form == "each pin" for spec in specs)
    return [*left, *(["other pins"] if no_list else given.unread or ())]


def verdict_against(value: float, u: float, low: float | None, high: float | None, guard: float = GUARD) -> Verdict:
    """The verdict on a value and its limits, in one unit, with a guard of so many standard uncertainties."""
    if low is None and high is None:
        return "not judged"
    guard *= u
    if (low is not None and value + guard < low) or (high is not None and value - guard > high):
        return "fail"
    inside = (low is None or value - guard >= low) and (high is None or value + guard <= high)
    return "pass" if inside else "undecided"


def _judge_one(reading: ReadValue, given: LimitsInput) -> _Judged:
    limit, spec = reading.limit, reading.limit.spec
    limited = limit.low is not None or limit.high is not None or bool(spec.good)
    verdict, differs = _verdict(reading)
    why = _why_limit_does_not_apply(reading, given, verdict) if limited else ""
    if why:
        verdict = "undecided" if why.startswith("only") else "not judged"
    elif maybe_leads := _may_be_the_leads(reading, given, verdict):
        verdict, why = "undecided", maybe_leads
    proof = _proof(reading, given) if verdict == "fail" and spec.form == "left after" else None
    unproved = _unproved(reading, given) if proof is not None and not proof.cleared_by else ""
    if unproved:
        verdict = "undecided"
    wanted = "" if reading.word and verdict == "pass" else limit_words(reading)
    says = (
        f"{reading_words(reading)}{f' ({wanted})' if wanted else ''}: {verdict if limited else without_limit(reading)}"
    )
    says += f", {why}" if why else f", {DIFFERS}" if differs else ""
    if unproved:
        fell = f"fell to {reading.text} {reading.unit} in {reading.time_s / 60:g} min"
        says = f"{fell}, rig not proved ({wanted}): {unproved}"
    unit = limit.unit_si
    measured = not reading.word and not reading.beyond
    if verdict == "undecided" and not (why or unproved) and spec.form == "left after" and reading.time_s < limit.time_s:
        says += f", read it again at {limit.time_s / 60:g} min"
    figures: dict[str, object] = {
        "as_read": reading.si / unit if measured else None,
        "unit": spec.unit,
        "expanded_uncertainty": 2.0 * reading.u / unit if measured else None,
        "low_limit": spec.low,
        "high_limit": spec.high,
        "limit_doubt": limit.doubt if limited and limit.doubt > 1.0 else None,
        "at_least": reading.si / unit if reading.beyond else None,
        "word": reading.word or None,
        "verdict": verdict,
        **reading.repeats.as_figures(unit),
        **({"own_spread": reading.own_spread / unit} if reading.own_spread else {}),
    }
    reasons = tuple(reading_reasons(reading, says, verdict, limited, differs=differs))
    if proof is not None:
        reasons = (*reasons, *proof_reason(proof))
    return _Judged(reading.name, verdict, says, figures, reasons, limited, spec.required, proof)


def _verdict(reading: ReadValue) -> tuple[Verdict, bool]:
    """The verdict on a reading, if its limit applies, and whether it only differs from the usual."""
    limit, spec = reading.limit, reading.limit.spec
    if reading.word:
        return ("not judged" if not spec.good else "pass" if reading.word in spec.good else "fail"), False
    usual = _by_limits(reading, limit.low, limit.high)
    return with_doubt(usual, _by_limits(reading, *limit.widest)) if limit.doubt > 1.0 else (usual, False)


def _by_limits(reading: ReadValue, low: float | None, high: float | None) -> Verdict:
    """The verdict on a number and its limits, in SI."""
    limit, spec = reading.limit, reading.limit.spec
    if reading.beyond:
        return _beyond(reading.si, low, high)
    found = verdict_against(reading.si, reading.u, low, high, reading.guard)
    if spec.form == "left after" and found in ("pass", "fail") and reading.time_s != limit.time_s:
        # pressure only falls: enough later means enough at the time, too little earlier means too little at the time
        decides = (found == "pass") == (reading.time_s > limit.time_s)
        return found if decides else "undecided"
    return found


def _beyond(at_least: float, low: float | None, high: float | None) -> Verdict:
    """The verdict on a reading beyond the range: it is at least `at_least`."""
    if low is None and high is None:
        return "not judged"
    if high is not None and at_least > high:
        return "fail"
    return "pass" if high is None and low is not None and at_least >= low else "undecided"


def _why_limit_does_not_apply(reading: ReadValue, given: LimitsInput, verdict: Verdict) -> str:
    """Why the limit does not apply to a reading; empty if it does."""
    spec = reading.limit.spec
    lacking = [name for name in spec.needs if name not in given.noted]
    if lacking:
        return f"note {' and '.join(lacking)} beside it"
    for only in reading.limit.only:
        noted = given.noted.get(only.condition)
        if not isinstance(noted, Quantity):
            return f"the limit holds at {only.says}: note {only.condition} beside it"
        if only.low <= noted.si <= only.high:
            continue
        if spec.form == "drop under load":  # a drop grows with the load
            if verdict == "fail" and noted.si < only.low:
                continue
            return f"only {noted.spaced} was drawn; the limit holds at {only.says}"
        return f"the limit holds at {only.says}, not at {noted.spaced}"
    return ""


def _may_be_the_leads(reading: ReadValue, given: LimitsInput, verdict: Verdict) -> str:
    """Why a resistance that is too high may be that of the leads, if nobody noted theirs; empty if it cannot."""
    high, usual = reading.limit.high, given.usual_leads_ohm
    if verdict != "fail" or high is None or not usual or given.leads is not None or reading.beyond:
        return ""
    if verdict_against(reading.si - usual, reading.u, None, high, reading.guard) == "fail":
        return ""
    return "or only the leads: note their resistance"


def _proof(reading: ReadValue, given: LimitsInput) -> RigProof:
    """What clears the rig of a leak test that left too little."""
    if given.rig is None:
        return RigProof()
    time_s = min(reading.time_s, reading.limit.time_s)
    return given.rig.proof(_start(given), time_s, reading.si, reading.limit.low or 0.0)


def _unproved(reading: ReadValue, given: LimitsInput) -> str:
    """Why the rig is not proved, and what would prove it."""
    rig = given.rig or LeakRig()
    state = rig.state(_start(given), min(reading.time_s, reading.limit.time_s))
    leaks_in = "its own blank" if state == "leaks" else _proof(reading, given).leaks_in
    return f"it leaked in {leaks_in}; make the rig tight, then repeat" if leaks_in else UNPROVED[state]


def _start(given: LimitsInput) -> float:
    """The pressure from which a leak test began, Pa; 0 if it was not noted."""
    return next((each.si for each in given.readings if each.name == "start"), 0.0)


def _ratios(given: LimitsInput) -> list[ReadValue]:
    """The ratios of two readings that were both read as numbers."""
    by_name = {reading.name: reading for reading in given.readings if not reading.word and not reading.beyond}
    found = []
    for limit in given.limits:
        over, under = by_name.get(limit.spec.of), by_name.get(limit.spec.to)
        if limit.spec.form != "ratio" or over is None or under is None or not under.si or not over.si:
            continue
        ratio = over.si / under.si
        half = _ROOT_3 * ratio * math.hypot(over.u / over.si, under.u / under.si)
        found.append(ReadValue(limit.spec.name, limit, ratio, half, text=shown(ratio, half)))
    return found
