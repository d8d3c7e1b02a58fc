"""What a person does at the bench: apply a procedure and write the readings down as they stand on the dial."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from inventory.bench.instruments.queries import refuse_unknown_instrument
from inventory.bench.judgements import check
from inventory.bench.load_things import measured_thing
from inventory.bench.missing_units import with_units
from inventory.bench.runs.load_contexts import UnsavedRun, contexts
from inventory.bench.runs.load_references import refuse_unknown
from inventory.bench.runs.queries import RunView, run_views
from inventory.bench.tables import BenchRun
from inventory.bench.typed_run import TypedRun
from inventory.facts.views import views
from inventory.facts.write import write
from inventory.parts.actions import attach
from inventory.people.actions import begin_act
from inventory.reference.data import reference_of
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.journal.entries import canonical
from inventory.store.words.text import clean

__all__ = ["run", "run_from_file"]


def run(
    session: Session,
    by: str,
    tag: str,
    procedure: str,
    readings: Sequence[str],
    conditions: dict[str, Any],
    *,
    on: str | None = None,
) -> RunView:
    """Write down one run of a procedure on a part, or on a car by its name. Return it with its judgement.

    `readings` and `conditions` are kept as typed, with the units that were left out where they can be told. Raises
    `Refused`, before anything is written, for unreadable text.
    """
    thing = measured_thing(session, tag)
    typed = [clean(reading) for reading in readings]
    said = {name: _typed(value) for name, value in conditions.items() if value not in (None, "", (), [])}
    act = begin_act(session, "bench run", by, thing.id)
    when = when_on(on, act.today)
    refuse_unknown_instrument(session, said.get("instrument"))
    values = {"procedure": procedure, "readings": typed, "conditions": said}
    (context,) = contexts(
        session,
        [UnsavedRun(thing.id, when.edtf, min(when.latest, act.today).isoformat(), values)],
        with_references=False,
    )
    whole = with_units(TypedRun.of(values), context)
    check(whole, context)
    refuse_unknown(session, thing.id, said)
    fact = make_fact(
        BenchRun,
        act,
        thing.id,
        when,
        how_known="measured",
        procedure=context.data.procedure(procedure).name,
        readings=canonical(list(whole.readings)),
        conditions=canonical(dict(whole.conditions)),
    )
    write(session, act, [fact])
    return run_views(session, views(session, [fact]))[0]


def run_from_file(
    session: Session,
    by: str,
    tag: str,
    procedure: str,
    path: Path,
    conditions: dict[str, Any],
    *,
    on: str | None = None,
) -> tuple[RunView, str]:
    """Write down one run from a logging gauge's file and attach the file. Return the run and what is kept of it."""
    from inventory.bench.runs.read_hold_log import readings_from

    found = readings_from(path, reference_of(session).procedure(procedure), conditions)
    done = run(session, by, tag, procedure, found.readings, found.conditions, on=on)
    attach(session, by, tag, path, shows="other", on=on)
    return done, found.says


def _typed(value: Any) -> Any:
    """A condition as typed, cleaned."""
    return [clean(each) for each in value] if isinstance(value, (list, tuple)) else clean(str(value))
