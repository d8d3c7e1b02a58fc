"""`matchmark bench sweep`: the last sweep of a part beside its reference, or how to take a sweep."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand

if TYPE_CHECKING:
    from inventory.bench.runs.queries import RunView
    from inventory.reference.procedure import Procedure

__all__ = ["sweep"]

_HEADS = ("vacuum", "down", "up", "its down", "its up", "difference", "gap")


@subcommand("sweep")
@click.argument("tag")
@pass_door
def sweep(door: Door, tag: str) -> Answer:
    """The last sweep of a part beside its reference; without one, how to take a sweep."""
    from inventory.bench.runs.queries import last_run
    from inventory.parts.queries import part_row

    with door.record.read() as session:
        part = part_row(session, tag)
        run = last_run(session, part, "sweep")
    if run is None:
        return _how(part.tag, door.record.reference.procedure("sweep"))
    judgement = run.judgement
    data = {"tag": part.tag, "run": run.fact.id, "on": run.fact.on, **judgement.as_dict(), **run.staleness()}
    reasons = [f"  {reason.says}" for reason in judgement.reasons if reason.says not in judgement.says]
    head = f"{part.tag} sweep of {run.fact.on}: {run.says}"
    return Answer(data, "\n".join([head, *_table(run), *reasons]))


def _table(run: RunView) -> list[str]:
    """The readings of the sweep beside the reference, from no vacuum to the deepest."""
    rows = run.judgement.figures.get("rows")
    cells = [_HEADS, *(_cells(row) for row in rows)] if isinstance(rows, list) else []
    return [f"  {line[0]:>10}  {'  '.join(f'{cell:>14}' for cell in line[1:])}" for line in cells]


def _cells(row: dict[str, Any]) -> tuple[str, ...]:
    henries = (row[name] for name in ("down_h", "up_h", "reference_down_h", "reference_up_h"))
    ratios = ((row[name], row[f"{name}_expanded_uncertainty"]) for name in ("difference", "gap"))
    return (
        row["vacuum"],
        *("-" if henry is None else _inductance(henry) for henry in henries),
        *("-" if value is None else f"{100 * value:+.1f} +/-{100 * u:.1f} %" for value, u in ratios),
    )


def _inductance(henry: float) -> str:
    return f"{henry:#.4g} H" if henry >= 0.1 else f"{1e3 * henry:#.4g} mH"


def _how(tag: str, procedure: Procedure) -> Answer:
    """How to take a sweep; the cautions come first."""
    from inventory.reference.load import caution

    cares = [caution(name).line for name in procedure.cautions]
    steps = [f"{place}. {step}" for place, step in enumerate(procedure.steps, 1)]
    example = (
        f"matchmark bench run sweep {tag} --reading 0cmHg=1.62H --reading 10cmHg=1.50H ... "
        '--frequency 1kHz --meter "L2: 0.5% + 3 counts" --reference TAG'
    )
    data = {"tag": tag, "run": None, "cautions": cares, "steps": list(procedure.steps), "example": example}
    head = f"{tag} has no sweep on record. {procedure.title[:1].upper()}{procedure.title[1:]}: {procedure.shows}"
    return Answer(data, "\n".join([f"{head}.", *(f"  {line}" for line in (*cares, *steps, example))]))
