"""`matchmark evidence`: how likely a part is serviceable, and what others say about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import as_of_option, limits_option, new_option, on_option, state_on

if TYPE_CHECKING:
    from collections.abc import Iterator

    from inventory.evidence.due import DueTest, Shelf

_SHOWN = 20


command = group("evidence", "How likely a part is serviceable, and what the tests could not have shown.", default="of")


@command.command("of")
@click.argument("tag")
@as_of_option
@limits_option
@click.option("--figures", is_flag=True, help="Also list every assumed figure with its source.")
@pass_door
def of(door: Door, tag: str, as_of: str | None, limits: str | None, figures: bool) -> Answer:
    """How likely a part is serviceable, and what its tests could not have shown; `of` may be left out."""
    from dataclasses import replace

    from inventory.evidence.figures import figures_behind
    from inventory.evidence.queries import evidence_of
    from inventory.parts.queries import part_row

    with door.record.read() as session:
        part = part_row(session, tag)
        when = state_on(session, as_of)
        evidence = evidence_of(session, part, when)
        now = evidence_of(session, part, replace(when, limits_now=True)) if limits else None
        tag, kind = part.tag, part.kind or "other"
    found = evidence.serviceability
    lines = [f"{tag}: {found.says}", f"  {evidence.next_says}", *(f"  {reason.says}" for reason in found.reasons)]
    lines += [f"  {each.says}" for each in evidence.contradictions]
    contradictions = [each.as_dict() for each in evidence.contradictions]
    following = [each.as_dict() for each in evidence.next]
    data = {"tag": tag, **found.as_dict(), "contradictions": contradictions, "next": following}
    data["limits"] = evidence.reference.limits_as_dict()
    lines += [f"  judged by {evidence.reference.limits}"] if evidence.reference.taken or now else []
    if now is not None:
        other = now.serviceability
        told = {"p_serviceable": other.p_serviceable, "says": other.says, "limits": now.reference.limits_as_dict()}
        data["with_limits_now"] = told
        differs = other.as_dict() != found.as_dict()
        lines += [f"  by {now.reference.limits}, it would be: {other.says}"] if differs else []
    if figures:
        behind = figures_behind(evidence.reference, kind, evidence.variant)
        lines += ["Figures assumed", *(f"  {f.value:<5g} {f.says} ({f.standing}, {f.source})" for f in behind)]
        data["figures"] = [
            {"value": f.value, "says": f.says, "standing": f.standing, "source": f.source} for f in behind
        ]
    return Answer(data, "\n".join(lines))


@command.command("due")
@click.option("--minutes", type=click.FloatRange(min=0, min_open=True), help="Only what fits into that time together.")
@pass_door
def due(door: Door, minutes: float | None) -> Answer:
    """What to test next on the shelf: our own loose parts, by worth times expected change."""
    from inventory.evidence.load_due import due_on_shelf

    with door.record.read() as session:
        shelf = due_on_shelf(session, minutes)
    lines = [*_due_lines(shelf)]
    if minutes is not None and (lines or shelf.left_out):
        rest = f"; {shelf.left_out} more no longer fit" if shelf.left_out else ""
        lines.insert(0, f"In {minutes:g} min, all together: {shelf.minutes:g} min of tests{rest}")
    if shelf.settled:
        lines.append(f"{shelf.settled} more: no test on the bench is expected to change what is known")
    return Answer(shelf.as_dict(), "\n".join(lines) or "No loose part of ours on record.")


def _due_lines(shelf: Shelf) -> Iterator[str]:
    for currency, tests in shelf.by_currency.items():
        yield f"Worth and gain in {currency}: gain is worth times expected change of p(good), for an hour at the bench"
        yield f"  {'tag':<8} {'test':<16} {'min':>4} {'p now':>6} {'change':>6} {'worth':>9} {'gain/h':>8}"
        yield from _rows(tests)
    if shelf.no_value:
        yield "No value noted: by expected change alone"
        yield from () if shelf.by_currency else (f"  {'tag':<8} {'test':<16} {'min':>4} {'p now':>6} {'change':>6}",)
        yield from _rows(shelf.no_value)


def _rows(tests: tuple[DueTest, ...]) -> Iterator[str]:
    for one in tests[:_SHOWN]:
        worth = f" {one.worth:>9.0f} {one.gain_per_hour:>8.0f}" if one.worth is not None else ""
        test = one.test
        yield (
            f"  {one.tag:<8} {test.procedure:<16} {test.minutes:>4g} {one.p_now:>6.2f} {test.expected_change:>6.2f}"
            f"{worth}"
        )
    if len(tests) > _SHOWN:
        yield f"  and {len(tests) - _SHOWN} more, all of them with --json"


@command.command("shares")
@click.argument("kind")
@pass_door
def shares(door: Door, kind: str) -> Answer:
    """How parts of a kind fail: the shares on file beside the faults found here, and the shares used."""
    from inventory.evidence.load_own_counts import shares_of_kind

    with door.record.read() as session:
        named = door.record.reference.kind(kind).name
        own, figures = shares_of_kind(session, named), door.record.reference.failures.figures
    lines = [
        f"{named}: {own.count} faults found here, {own.by_opening} by opening, {own.by_test} by a test that failed",
        f"  {'fault':<34} {'on file':>7} {'found here':>10} {'used':>6}",
    ]
    for name, on_file in own.on_file.items():
        lines.append(f"  {name:<34} {on_file:>7.0%} {own.found[name]:>10.1f} {own.shares[name]:>6.0%}")
    least, weight = (figures[name].value for name in ("own counts from", "shares on file"))
    if own.enough:
        lines.append(f"The shares on file weigh as much as {weight:g} faults found here.")
    else:
        lines.append(
            f"From {least:g} faults found here on, they change the shares used; the share of good parts stays."
        )
    lines.append("A failed test counts in part for each fault that it shows. Record a fault found by opening as work:")
    lines.append(f'  matchmark work log TAG --what "opened: {next(iter(own.on_file))}" --where "on the unit"')
    faults = [
        {"mode": name, "share_on_file": share, "found_here": own.found[name], "share": own.shares[name]}
        for name, share in own.on_file.items()
    ]
    counts = {"count": own.count, "by_opening": own.by_opening, "by_test": own.by_test, "moved": own.enough}
    return Answer({"kind": named, **counts, "modes": faults}, "\n".join(lines))


@command.command("claim")
@click.argument("tag")
@click.option("--said", required=True, metavar="WORDS", help='What was said, word for word: "tested", "runs well", ...')
@click.option("--test", metavar="NAME", help="The test, if one was named (hold, resistance, ...).")
@click.option("--came-out", default="pass", show_default=True, help="pass or fail.")
@click.option("--by-whom", metavar="NAME", help="Who said it.")
@click.option(
    "--source", help="specialist, workshop, keeper, seller or not known; by default the person's role on record."
)
@click.option(
    "--proof", default="none", show_default=True, help="What was shown: picture, film, report or specialist's paper."
)
@on_option
@new_option
@pass_door_for_writing
def claim(door: Door, tag: str, said: str, on: str | None, **options: str | None) -> Answer:
    """Record what somebody says about a part, and see how much it weighs."""
    from inventory.evidence.actions import note_claim
    from inventory.evidence.queries import evidence_of
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact = note_claim(session, door.by, tag, said, on=on, **options)  # type: ignore[arg-type]
        part = part_row(session, tag)
        found = evidence_of(session, part).serviceability
        tag = part.tag
    (reason,) = (each for each in found.reasons if fact in each.facts)
    (weighed,) = (test for test in found.tests if test.fact == fact)
    lines = [f"{tag}: {reason.says}", *(f"  {part}" for part in reason.rule.split("; ")), f"  now {found.says}"]
    data = {
        "fact": fact,
        "tag": tag,
        "counts_as": weighed.what,
        "weight": weighed.weight,
        "reason": reason.as_dict(),
        "p_serviceable": found.p_serviceable,
        "says": found.says,
    }
    return Answer(data, "\n".join(lines))
