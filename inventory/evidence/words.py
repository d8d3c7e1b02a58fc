"""The judgement on serviceability in words: one sentence, a round range, and a reason for each test."""

from __future__ import annotations

import math
from collections.abc import Sequence

from inventory.evidence.inputs import SETTLED, Event, TestEvidence
from inventory.evidence.own_counts import OwnShares
from inventory.evidence.weights import WeighedTest
from inventory.reasons import WORKSHOP, Reason
from inventory.reference.modes import FailureData, KindModes

__all__ = ["assumptions", "band", "own_counts_reason", "reason_of", "repair_reason", "round_range", "sentence"]

_NAMED = 3
#: From this p on a fail stands beside a good word.
_LIKELY = 0.66
#: A share that own counts moved by less is not worth naming.
_MOVED = 0.005
_NO_SOURCE = "no source"


def band(p: float, data: FailureData) -> str:
    """P(good) in words, of one published scale; nothing is more than very likely."""
    return next(says for start, says in data.likelihood.words if p >= start)


def round_range(p: float, data: FailureData) -> str:
    """P(good) as a round range, `6 to 9 in 10`: the odds divided and multiplied by the doubt of the figures.

    Never ten in ten and never zero: nothing here is proved.
    """
    doubt = data.figures["doubt"].value
    odds = p / (1.0 - p) if p < 1.0 else math.inf
    low = min(9, max(0, round(10.0 * _chance(odds / doubt))))
    high = min(9, max(1, round(10.0 * _chance(odds * doubt))))
    return f"at most {high} in 10" if low == 0 else f"{low} in 10" if low == high else f"{low} to {high} in 10"


def sentence(p: float, not_shown: Sequence[str], weighed: Sequence[WeighedTest], data: FailureData) -> str:
    """`likely good, 6 to 9 in 10; nothing so far could have shown a moved adjuster`, with fails named first.

    `not_shown`: what the tests so far could not have shown, the most frequent first.
    """
    start = f"{band(p, data)}, {round_range(p, data)}"
    failed = list(dict.fromkeys(_came_out(one.test, data) for one in weighed if one.weight > 0.0 and one.failed))
    if failed:
        joined = " and ".join(failed)
        start = f"{start}; but {joined}" if p >= _LIKELY else f"{start}: {joined}"
    parts = [start, *_open(weighed, data), *_worsening(weighed), *_no_longer(weighed, data)]
    named = not_shown[:_NAMED]
    if named:
        seen = " seen here" if any(one.test.claim and one.weight > 0.0 for one in weighed) else ""
        parts.append(f"nothing{seen} so far could have shown {_listed(named, 'or')}")
    else:
        parts.append("each known fault might have shown, none is ruled out")
    return "; ".join(parts)


def reason_of(one: WeighedTest, kind_modes: KindModes, data: FailureData) -> Reason:
    """How one test counted, or why it did not."""
    test = one.test
    since = one.stale_by or one.mended
    facts = tuple(fact for fact in (test.fact, since.fact if since else "") if fact)
    if test.why.startswith(SETTLED):
        says = f"{_test_phrase(test.what, data)}, {test.when}; no longer counts, {test.why}"
        return Reason(says, "a test that was settled as wrong changes nothing", _NO_SOURCE, WORKSHOP, facts)
    told = (test.claim or _came_out(test, data), test.setting and f"set to {test.setting}", test.when)
    says = ", ".join(part for part in told if part) + _weight_in_words(one, data)
    rule = "; ".join(part for part in (test.why, _rule(one, kind_modes, data)) if part)
    return Reason(says, rule, _NO_SOURCE, WORKSHOP, facts)


def repair_reason(repair: Event, data: FailureData) -> Reason:
    """What a specialist's repair with a paper changes."""
    figure = data.figures["specialist's repair"]
    return Reason(
        f"opened by a specialist, with a paper: {repair.what}, {repair.when}; earlier tests no longer count",
        f"{figure.value:g}: {figure.says}",
        figure.source,
        figure.standing,
        (repair.fact,) if repair.fact else (),
    )


def own_counts_reason(own: OwnShares, kind_modes: KindModes, data: FailureData) -> Reason:
    """How the faults found on other parts of the kind moved the shares."""
    figure = data.figures["shares on file"]
    moved = [mode for mode in kind_modes.modes if abs(mode.share - own.on_file[mode.name]) >= _MOVED]
    shares = ", ".join(f"{mode.phrase} {mode.share:.0%} (on file {own.on_file[mode.name]:.0%})" for mode in moved)
    return Reason(
        f"{own.count} faults found here on other parts change the shares: {shares or 'by less than 1 % each'}",
        f"{figure.value:g}: {figure.says}; the share of good parts stays as it is: what comes in here is no sample",
        figure.source,
        figure.standing,
    )


def assumptions(
    kind_modes: KindModes, p: float, coverage: float, tested: bool, data: FailureData, *, repaired: bool = False
) -> tuple[Reason, ...]:
    """The assumptions behind the figure."""
    sort = "parts of this kind, after such a repair," if repaired else "used, untested parts of this kind"
    start = f"{100 * kind_modes.good:.0f} % of {sort} are assumed to be good"
    after = f"; after these tests {100 * p:.0f} %" if tested else "; no test changes that"
    doubt = data.figures["doubt"]
    known = (
        (
            Reason(
                f"judged as: {kind_modes.sort}",
                "by its part number or its marks",
                kind_modes.source,
                kind_modes.standing,
            ),
        )
        if kind_modes.sort
        else ()
    )
    return (
        *known,
        Reason(
            start + after, "Bayes' rule over the failure modes of this kind", kind_modes.source, kind_modes.standing
        ),
        Reason(
            f"the tests so far could have shown {100 * coverage:.0f} % of the failures",
            "the shares of the failures, and each test's chance to show them, are considered guesses",
            kind_modes.source,
            kind_modes.standing,
        ),
        Reason(
            f"{round_range(p, data)}: the figures are guesses, so "
            f"the odds may be {doubt.value:g} times better or worse",
            doubt.says,
            doubt.source,
            doubt.standing,
        ),
        Reason("at most one fault at a time", "assumed", _NO_SOURCE),
        Reason("tests are assumed independent; the majority of repeats counts, once", "assumed", _NO_SOURCE),
    )


def _open(weighed: Sequence[WeighedTest], data: FailureData) -> list[str]:
    """The tests that passed as often as they failed: `the hold passed once and failed once: open until a third`."""
    said = []
    for what in dict.fromkeys(one.test.what for one in weighed if one.tied):
        tied = [one for one in weighed if one.tied and one.test.what == what]
        passes = sum(one.test.verdict == "pass" for one in tied)
        said.append(
            f"{_test_phrase(what, data)} passed {_times(passes)} and failed {_times(len(tied) - passes)} with nothing "
            f"done between that could mend it: open, a third one decides"
        )
    return said


def _worsening(weighed: Sequence[WeighedTest]) -> list[str]:
    """`worsening: kept 98 % on 2024-03-02, 92 % on 2026-03-02`, if the last two holds that passed surely differ."""
    holds = [one for one in weighed if one.test.verdict == "pass" and one.test.kept is not None and not one.stale_by]
    if len(holds) < 2:
        return []
    (first, _, _), (last, _, _) = holds[-2].test.kept or (0.0,) * 3, holds[-1].test.kept or (0.0,) * 3
    low, high = (holds[-2].test.kept or (0.0,) * 3)[1], (holds[-1].test.kept or (0.0,) * 3)[2]
    if high >= low:
        return []
    return [
        f"worsening: the hold kept {100 * first:.0f} % on {holds[-2].test.when}, "
        f"{100 * last:.0f} % on {holds[-1].test.when}"
    ]


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _no_longer(weighed: Sequence[WeighedTest], data: FailureData) -> list[str]:
    """The passes that work on the unit ended, by that work: `the hold no longer counts: heated, 2026`."""
    ended: dict[str, list[str]] = {}
    for one in weighed:
        if one.stale_by and not one.replaced and one.test.verdict == "pass" and one.test.what in data.tests:
            names = ended.setdefault(f"{one.stale_by.what}, {one.stale_by.when}", [])
            names += [name for name in (_test_phrase(one.test.what, data),) if name not in names]
    return [
        f"{_listed(names, 'and')} no longer {'counts' if len(names) == 1 else 'count'}: {event}"
        for event, names in ended.items()
    ]


def _weight_in_words(one: WeighedTest, data: FailureData) -> str:
    """Why a test counts less than in full: `; but opened, 2026-03-04`, `, weighs 0.15`. Empty if it counts in full."""
    if one.test.what not in data.tests or not (one.test.decided or one.test.short):
        return ", changes nothing" if one.test.verdict == "undecided" else ""
    if one.elsewhere:
        return f"; the same test {'at another setting' if one.test.setting else 'of other readings'} counts"
    if one.replaced:
        return "; replaced by later or better tests"
    if one.stale_by:
        return f"; but {one.stale_by.what}, {one.stale_by.when}"
    if not one.weight and not one.tied:
        return ", no longer counts"
    if one.tied:
        return "; others came out the other way, so it is open"
    if one.mended and one.not_for:
        return f"; but {one.mended.what}, {one.mended.when}, so it counts only for what that cannot mend"
    return "" if one.weight == 1.0 else f", weighs {_weight(one.weight)}"


def _listed(names: Sequence[str], word: str) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {word} {names[-1]}"


def _rule(one: WeighedTest, kind_modes: KindModes, data: FailureData) -> str:
    test = one.test
    on_file = data.tests.get(test.what)
    if on_file is None:
        seal = test.what.startswith("seal ")
        return (
            "no known fault is guarded by this seal, so it does not count"
            if seal
            else "a test without a name, or not on file, proves nothing"
        )
    if not test.decided and not one.weight:
        seal = test.what.startswith("seal ")
        return "a seal that was not seen changes nothing" if seal else "an undecided test changes nothing"
    if one.elsewhere:
        return "a fail stands until that reading passes, at that setting; passes of several count once"
    if one.replaced:
        return "the majority of our own tests since the last work that could mend it counts once, before any claim"
    if one.stale_by and test.verdict == "pass":
        return "after work on the unit, heat or a drop, an earlier pass no longer counts"
    if one.stale_by:
        return "after work that could mend all that it shows, the same test decides afresh"
    if one.tied:
        return "as many passes as fails since the last work that could mend it: open"
    if not any(test.what in mode.shows for mode in kind_modes.modes):
        return "it shows none of the known faults"
    since = _since(one, data)
    if test.counts_as:
        figure = data.figures[test.counts_as]
        since = f"{since}; {figure.value:g}: {figure.says}"
    return "" if test.claim and not since else f"counts with weight {_weight(one.weight)}{since}"


def _since(one: WeighedTest, data: FailureData) -> str:
    """What lowered its weight: `: taken off a car once since, 0.9 each; 2 full years since, 0.95 each`."""
    figures = data.figures
    parts = []
    if one.removals:
        times = "once" if one.removals == 1 else f"{one.removals} times"
        parts.append(f"taken off a car {times} since, {figures['removal'].value:g} each")
    if one.years:
        years = "a full year" if one.years == 1 else f"{one.years} full years"
        parts.append(f"{years} since, {figures['dry year'].value:g} each")
    return f": {'; '.join(parts)}" if parts else ""


def _weight(weight: float) -> str:
    return f"{weight:.2f}".rstrip("0").rstrip(".")


def _chance(odds: float) -> float:
    return odds / (1.0 + odds) if math.isfinite(odds) else 1.0


def _test_phrase(what: str, data: FailureData) -> str:
    """The name of a test in a sentence: the hold, the resistance test, the cap."""
    on_file = data.tests.get(what)
    return on_file.phrase if on_file else f"the {what.removeprefix('seal ')}"


def _came_out(test: TestEvidence, data: FailureData) -> str:
    """A test and its outcome: `the hold failed`, `the cap is not intact`."""
    if test.told:
        outcome = test.told
    elif test.what.startswith("seal "):
        outcome = {"pass": "is intact", "fail": "is not intact"}.get(test.verdict, "was not seen")
    elif test.short:
        outcome = "fell short, rig not proved"
    elif test.what == "mixture":
        outcome = {"pass": "was right", "fail": "was off the mark"}.get(test.verdict, "shows nothing of the pair")
    elif test.claim:
        outcome = {"pass": "is said to have passed", "fail": "is said to have failed"}.get(test.verdict, "is not said")
    else:
        outcome = {"pass": "passed", "fail": "failed", "undecided": "was undecided"}.get(test.verdict, "was not judged")
    return f"{_test_phrase(test.what, data)} {outcome}"
