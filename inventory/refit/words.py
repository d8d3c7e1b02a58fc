"""A step of the plan in words, for the command line, the paper and the browser. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from inventory.reference.build_list import SAID
from inventory.refit.jobs import JobLine
from inventory.refit.plan import AWAY, NOW, ON, WAITS, Circle, RefitPlan, Step

__all__ = ["around", "circle_words", "details_of", "plan_text", "state_words"]

_AXIS_FROM = {"list": "by the list", "as found": "as found"}
_STATES = {NOW: "may go now", AWAY: "its part is away", WAITS: "waits"}


def state_words(step: Step, numbers: Mapping[str, int]) -> str:
    """Where a step stands, in a few words. `numbers`: the number of the step at each position."""
    if step.state == ON:
        return f"on, {step.on}" if step.on else "on"
    if step.state == WAITS:
        return "after " + ", ".join(str(numbers.get(name, f'job "{name}"')) for name in step.waits_for)
    said = _STATES.get(step.state, "no part on record")
    return "NOT READY" if step.ready is False and step.state == NOW else said


def details_of(step: Step) -> list[tuple[str, str]]:
    """What there is to say of a step, line by line: a word and the text."""
    fasteners, listed = "; ".join(step.fasteners), "; ".join(step.fasteners_listed)
    found = [
        ("lies", ", ".join(filter(None, (step.place or "place not noted", step.bag and f"bag {step.bag}")))),
        ("told by", "; ".join(step.marks)),
        (
            "way round",
            f"{SAID[step.axis]} ({_AXIS_FROM.get(step.axis_from or '')})" if step.axis else "",
        ),
        ("fasteners", f"found {fasteners}; listed {listed}" if listed else fasteners),
        ("fitted with", "; ".join(step.fitted_with) if step.fitted_with != step.fasteners else ""),
        ("broken", "; ".join(step.broken)),
        ("mounts", "; ".join(step.mounts)),
        ("connect", "; ".join(step.connections)),
        ("route", step.route or ""),
        ("bore", step.bore or ""),
        ("low spots", step.low_spots or ""),
        ("at the port", step.at_port or ""),
        ("car side", "; ".join(step.car_side)),
        ("moved", "; ".join(step.moved) if not step.checks else ""),
        ("remarks", "; ".join(step.remarks)),
        ("pictures", ", ".join(step.pictures)),
        *(("as found", each) for each in step.settings),
        *(("changed", each) for each in step.alterations),
        *(("check", each) for each in step.checks),
        *(("order", each) for each in step.reasons if each not in (*step.stops, *step.cautions)),
        *(("STOP", each) for each in step.stops),
        *(("note", each) for each in (*step.cautions, *step.notes)),
    ]
    return [(word, text) for word, text in found if text and (step.part_id or word != "lies")]


def plan_text(plan: RefitPlan) -> str:
    """The plan as the command line shows it."""
    numbers = {step.position: step.order for step in plan.steps}
    on = sum(step.state == ON for step in plan.steps)
    free = [str(step.order) for step in plan.steps if step.state == NOW and step.ready is not False]
    now = f"may go now, in any order: {', '.join(free)}" if free else "none may go now"
    lines = [f"{plan.car}: {on} of {len(plan.steps)} on, {now}" if plan.steps else f"{plan.car}: nothing to put back"]
    lines += plan.care if plan.steps else ()
    for first, *more in map(circle_words, plan.circles):
        lines += ["", first, *(f"  {each}" for each in more)]
    for line in plan.lines:
        if isinstance(line, JobLine):
            lines += ["", f"     {'[x]' if line.done else '[ ]'} {line.key}: {line.says}"]
            continue
        lines += ["", *line.care] if line.care and line.state != ON else [""]
        lines.append(f"{line.order:>3}  {' '.join(filter(None, (line.tag, line.part)))}  {line.position}")
        lines[-1] += f"  [{state_words(line, numbers)}]"
        if line.state != ON:
            lines += [f"     {word:<12} {text}" for word, text in details_of(line)]
    for title, said in around(plan):
        lines += ["", title, *(f"  {each}" for each in said)]
    return "\n".join(lines)


def circle_words(circle: Circle) -> list[str]:
    """A circle, the facts that make it, and how to break it: line by line."""
    return ["CIRCLE  " + ", then ".join((*circle.positions, circle.positions[0])), *circle.says, circle.mend]


def around(plan: RefitPlan) -> list[tuple[str, list[str]]]:
    """What belongs to no step: what did not come off, settings as found, changes to the car; with titles."""
    still_on = [
        f"{each.position}: "
        + (f"stays on: {each.why}" if each.why else f"{each.tag} is on" if each.tag else "no part on record")
        for each in plan.still_on
    ]
    found = [
        ("Did not come off", still_on),
        ("Settings as found", list(plan.settings)),
        ("Changed on the car", list(plan.alterations)),
    ]
    return [(title, said) for title, said in found if said]
