"""Reads injectors with their flows and failed tests, and finds the closest sets."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_of_many
from inventory.errors import Refused
from inventory.pairing.findings.fit import Fits
from inventory.pairing.sets.alike import Flow, Injector, Sets, match_sets
from inventory.parts.tables import Part, PartNumber, Supersession
from inventory.reference.data import reference_of
from inventory.store.facts import as_of

__all__ = ["flow_sets"]

_FLOW = "flow"
#: Conditions that must be equal for two flows to be comparable; the temperature is that of the session.
_UNDER = ("session", "rig", "instrument", "pressure", "fluid", "over", "cleaned")
#: Other tests that an injector should have passed.
_BESIDE = ("leakage", "resistance")


def flow_sets(session: Session, kind: str, size: int, count: int = 1) -> Sets:
    """The closest sets of parts of a kind. Raises `Refused` for a kind without a flow test."""
    reference = reference_of(session)
    named = (found := reference.kind(kind)).name
    if _FLOW not in {each.name for each in reference.procedures_for(named)}:
        raise Refused(
            "no-flow-for-kind",
            f"there is no flow test for {found.plural}, so no set can be made",
            where="kind",
            hint="for example: pairs set injector --size 6",
        )
    if size < 2:
        raise Refused("no-set", "--size must be at least 2", where="size", hint="for example: --size 6")
    if count < 1:
        raise Refused("no-set", "--count must be at least 1", where="count", hint="for example: --count 2")
    in_house = Part.kind == named, Part.gone.is_(None), Part.fitted != "yes"
    rows = session.execute(select(Part.id, Part.tag, Part.part_number_squeezed).where(*in_house).order_by(Part.tag))
    parts = {row.id: (row.tag, row.part_number_squeezed or "") for row in rows}
    runs = runs_of_many(session, list(parts))
    families = _families(session)
    injectors = [_injector(tag, families.family_of(number), runs.get(key, [])) for key, (tag, number) in parts.items()]
    return match_sets(injectors, size, count)


def _injector(tag: str, family: str, runs: Sequence[RunView]) -> Injector:
    latest = {run.procedure: run for run in runs if run.judgement.verdict in ("pass", "fail")}
    failed = tuple(name for name, run in latest.items() if run.judgement.verdict == "fail")
    unmeasured = tuple(name for name in _BESIDE if name not in latest)
    flows = tuple(flow for run in runs if run.procedure == _FLOW for flow in _flows(run))
    return Injector(tag, family, flows, failed, unmeasured)


def _flows(run: RunView) -> list[Flow]:
    """The flows of a run; if no session was named, its day counts as the session."""
    conditions = run.fact.values["conditions"]
    if not conditions.get("session"):
        conditions = {**conditions, "session": run.fact.on}
    under = tuple((name, _plain(str(conditions[name]))) for name in _UNDER if conditions.get(name))
    found = []
    for name, figures in run.judgement.figures.items():
        if isinstance(figures, dict) and isinstance(value := figures.get("as_read"), float):
            u = float(figures["expanded_uncertainty"]) / 2.0
            own = float(figures.get("own_spread") or 0.0)
            found.append(Flow(name, value, u, str(figures["unit"]), under, (run.fact.id,), own))
    return found


def _plain(text: str) -> str:
    """A condition as it is compared: without case, "2 bar" like "2bar"."""
    return re.sub(r"(?<=\d) ", "", " ".join(text.casefold().split()))


def _families(session: Session) -> Fits:
    """Which numbers replaced each other."""
    squeezed = {row.id: row.squeezed for row in session.execute(select(PartNumber.id, PartNumber.squeezed))}
    rows = session.scalars(as_of(select(Supersession), Supersession)).all()
    return Fits.of((), [(squeezed[row.thing_id], squeezed[row.by_number_id]) for row in rows])
