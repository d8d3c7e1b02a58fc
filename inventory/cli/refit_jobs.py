"""`matchmark refit job`, `refit assign` and `refit altered`: what stands between the steps of putting a car back."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing, subcommand
from inventory.cli.options import new_option, on_option

__all__ = ["altered", "assign", "job"]


@subcommand("assign")
@click.argument("tag")
@click.option("--position", required=True)
@click.option("--car", help="Which car; by default the one it came off.")
@click.option("--why", help="The reason.")
@on_option
@new_option
@pass_door_for_writing
def assign(door: Door, tag: str, position: str, car: str | None, why: str | None, on: str | None) -> Answer:
    """Record that a part is to go on at a position, whatever came off there."""
    from inventory.parts.queries import part_row
    from inventory.refit import write_jobs

    with door.record.write() as session:
        fact = write_jobs.assign(session, door.by, tag, position, car=car, why=why, on=on)
        tag = part_row(session, tag).tag
    return Answer({"fact": fact, "tag": tag, "position": position, "why": why}, f"{tag} is to go on: {position}")


@subcommand("altered")
@click.argument("car")
@click.argument("what")
@click.option("--position", help="Where; the plan shows it at that step.")
@click.option("--why", help="The reason.")
@on_option
@pass_door_for_writing
def altered(door: Door, car: str, what: str, position: str | None, why: str | None, on: str | None) -> Answer:
    """Record that a car was changed for good, e.g. a hole drilled."""
    from inventory.refit.write_jobs import alter

    with door.record.write() as session:
        fact = alter(session, door.by, car, what, position=position, why=why, on=on)
    return Answer({"fact": fact, "car": car, "what": what, "position": position, "why": why}, f"Recorded: {what}")


job = group("job", "Jobs between the steps, and what they wait for.")


@job.command("add")
@click.argument("car")
@click.argument("text")
@click.option("--before", metavar="POSITION", help="The step that it must be done before.")
@click.option("--after", metavar="POSITION", help="The step that must be done first.")
@click.option("--waits-for", metavar="WORDS", help="E.g. paint, parts ordered, at the specialist.")
@on_option
@pass_door_for_writing
def job_add(door: Door, car: str, text: str, on: str | None, **options: str | None) -> Answer:
    """Add a job, such as "clip the loom" --before "heater box"."""
    from inventory.refit.load_jobs import job_numbered
    from inventory.refit.write_jobs import add_job

    with door.record.write() as session:
        line = job_numbered(session, add_job(session, door.by, car, text, on=on, **options))
    return Answer({"car": car, **line.as_dict()}, f"{line.key}: {line.says}")


@job.command("done")
@click.argument("job")
@on_option
@pass_door_for_writing
def job_done(door: Door, job: str, on: str | None) -> Answer:
    """Record that a job is done: its id as listed, e.g. job-3."""
    from inventory.refit import write_jobs
    from inventory.refit.load_jobs import job_numbered

    with door.record.write() as session:
        fact = write_jobs.job_done(session, door.by, job, on=on)
        line = job_numbered(session, job)
    return Answer({"fact": fact, **line.as_dict()}, f"{line.key}: {line.says}")


@job.command("list")
@click.argument("car")
@pass_door
def job_list(door: Door, car: str) -> Answer:
    """The jobs of a car, in the order of the plan."""
    from inventory.cars.queries import car_named
    from inventory.refit.load_plan import plan_of

    with door.record.read() as session:
        plan = plan_of(session, car_named(session, car).id)
    before = {step.order: f"before {step.order}, {step.position}" for step in plan.steps}
    lines = [
        f"{'[x]' if line.done else '[ ]'} {line.key}: {line.says}  ({before.get(line.at, 'after the last step')})"
        for line in plan.jobs
    ]
    return Answer({"car": plan.car, "jobs": [line.as_dict() for line in plan.jobs]}, "\n".join(lines) or "No jobs.")
