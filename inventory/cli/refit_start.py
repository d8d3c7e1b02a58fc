"""`matchmark refit start`: the checks of the first start."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand
from inventory.cli.options import on_option

if TYPE_CHECKING:
    from inventory.first_start.checklist import FirstStart

__all__ = ["start"]


@subcommand("start")
@click.argument("car")
@click.option("--good", multiple=True, metavar="CHECK[=FOUND]", help="A check that came out well; may be repeated.")
@click.option("--bad", multiple=True, metavar="CHECK=FOUND", help="A check that did not, and why; may be repeated.")
@on_option
@pass_door_for_writing
def start(door: Door, car: str, good: tuple[str, ...], bad: tuple[str, ...], on: str | None) -> Answer:
    """The checks of the first start, in order; with --good or --bad, record how they came out."""
    from inventory.cars.queries import car_named
    from inventory.first_start.actions import Checked, answer_checks
    from inventory.first_start.queries import first_start
    from inventory.reference.load import cautions_for

    answers = [Checked(*_split(text), "good") for text in good] + [Checked(*_split(text), "not good") for text in bad]
    facts: list[str] = []
    if answers:
        with door.record.write() as session:
            facts = answer_checks(session, door.by, car, answers, on=on)
    with door.record.read() as session:
        view = car_named(session, car)
        now = first_start(session, view.id)
    if now is None:
        says = f"{view.name}: nothing came off it here, so there is no first start to check"
        return Answer({"car": view.name, "facts": facts, "done": True, "next": None, "checks": []}, says)
    cares = [each.line for each in cautions_for("start", "car")] if now.next else []
    early = tuple(
        f"{each.step}: not done before it: {', '.join(before)}" for each in answers if (before := now.before(each.step))
    )
    return Answer(
        {**now.as_dict(), "facts": facts, "cautions": cares}, "\n".join([*cares[:1], *_lines(now)]), warnings=early
    )


def _split(text: str) -> tuple[str, str]:
    """The check and what was found."""
    name, _, found = text.partition("=")
    return name.strip(), found.strip()


def _lines(now: FirstStart) -> Sequence[str]:
    lines = [f"{now.car}, {now.brief}"]
    if now.off:
        lines.append(f"  not yet: still off: {'; '.join(now.off)}")
    for place, step in enumerate(now.steps, start=1):
        how = f"{step.state.upper()}{f': {step.found}' if step.found else ''}, {step.on}" if step.on else "open"
        lines.append(f"  {place}  {step.name}: {how}")
        if not step.done:
            by_bench = f': matchmark bench run "{step.run}" "{now.car}"' if step.run else ""
            lines.append(f"     {step.says}{by_bench}")
    return lines
