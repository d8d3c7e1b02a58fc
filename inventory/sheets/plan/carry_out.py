"""Carries out the plan of a read: writes its facts part by part, all of them in the caller's transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from typing import Any, TypeAlias

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.declare import declared
from inventory.facts.write import write, write_new
from inventory.parts.actions import new_parts
from inventory.provenance.tables import Provenance
from inventory.reference.data import reference_of
from inventory.sheets.columns.leaving import Leaving
from inventory.sheets.plan.name_keys import NameKeys
from inventory.sheets.plan.new_parts import NewParts
from inventory.sheets.plan.on_record import rows_among
from inventory.sheets.plan.rows import FactPlan, ListPlan, PartPlan, Plan
from inventory.sheets.plan.to_facts import ToFacts, Written, leaving_fact, superseded
from inventory.sheets.progress import WRITING, OnProgress
from inventory.store.days.dates import When
from inventory.store.facts import Act, fact_id
from inventory.store.journal.keys import supersede_all
from inventory.store.tables import Base

__all__ = ["carry_out"]

#: How many parts are written at a time: more would take more memory, fewer more statements.
_PARTS_AT_A_TIME = 2000
_Plans: TypeAlias = Sequence[PartPlan | FactPlan]


def carry_out(session: Session, act: Act, day: When, plan: Plan, on_progress: OnProgress) -> dict[int, int]:
    """Write what a plan says: one entry in the journal for each thing, all of one act.

    `day`: when everything was so for which a row gives no day. Returns the keys of the new parts, by those in the plan.
    """
    work = [each for row in plan.rows for each in (row.work, *row.beside) if each is not None]
    if plan.leavings:
        write(session, act, [_left(act, day, plan.file, *each) for each in plan.leavings])
    if not work:
        return {}
    names = NameKeys(session, act, day, work)
    _write_lists(session, act, day, names, plan.file, [each for each in work if isinstance(each, ListPlan)])
    by_part: dict[int, list[PartPlan | FactPlan]] = defaultdict(list)
    last: dict[int, list[PartPlan | FactPlan]] = defaultdict(list)
    for each in work:
        if isinstance(each, FactPlan) and any(table == "part" for table, _ in each.draft.named.values()):
            last[each.part].append(each)  # it names a part of this file, which must be written first
        elif not isinstance(each, ListPlan):
            by_part[each.part].append(each)
    written = Written(plan.file, act, day, names)
    new = NewParts(act, day, names, reference_of(session), written)
    keys, made = list(by_part), dict[int, int]()
    for start in range(0, len(keys), _PARTS_AT_A_TIME):
        on_progress(WRITING, start, len(keys))
        some = {key: by_part.pop(key) for key in keys[start : start + _PARTS_AT_A_TIME]}
        made |= _write_parts(session, act, day, names, new, some, plan)
    _write_parts(session, act, day, names, new, {made.get(key, key): plans for key, plans in last.items()}, plan)
    on_progress(WRITING, len(keys), len(keys))
    return made


def _left(act: Act, day: When, file: str, part: int, leaving: Leaving, at: str) -> Provenance:
    """The fact that a part left which stood in the last version of a sheet."""
    fact = leaving_fact(act, part, leaving, day)
    fact.reason = f"{file}, {at}"
    return fact


def _write_lists(session: Session, act: Act, day: When, names: NameKeys, file: str, work: Sequence[ListPlan]) -> None:
    """Write new names, and the facts of positions and part numbers."""
    written = Written(file, act, day, names)
    to_facts = ToFacts(act, day, names, reference_of(session), written, _old_rows(session, work))
    rows = [fact for each in work for fact in to_facts.kept_up_to(each).of_list(each)]
    supersede_all(session, act, to_facts.pairs)
    if names.rows or rows:
        write(session, act, [*names.rows, *rows])


def _write_parts(
    session: Session, act: Act, day: When, names: NameKeys, new: NewParts, plans: Mapping[int, _Plans], plan: Plan
) -> dict[int, int]:
    """Write some parts or other things. New parts about which only one row says something take the fast way.

    Returns the keys of the new parts, by their keys in the plan.
    """
    old = _old_rows(session, chain.from_iterable(plans.values()))
    to_facts = ToFacts(act, day, names, reference_of(session), new.written, old)
    fresh = [key for key in plans if key < 0]
    tags = [each.cells.tag for key in fresh for each in plans[key] if isinstance(each, PartPlan)]
    made = dict(zip(fresh, new_parts(session, len(fresh), tags), strict=True)) if fresh else {}
    names.written({part.tag: part.id for _, part in made.values()})
    new_rows: list[Base] = []
    texts: dict[int, str] = {}
    rows: list[Base] = []
    for key, several in plans.items():
        if key < 0 and len(several) == 1 and isinstance(several[0], PartPlan) and several[0].cells.left is None:
            thing, part = made[key]
            facts, texts[part.id] = new.kept_up_to(several[0].day).rows(several[0], part)
            new_rows += (thing, part, *facts)
            continue
        part_id = made[key][1].id if key < 0 else key
        rows += [*made.get(key, ()), *plan.new.get(key, ())]
        for each in several:
            if isinstance(each, FactPlan):
                rows += to_facts.kept_up_to(each).of_row(each, part_id)
            elif key < 0:
                rows += new.kept_up_to(each.day).rows(each, made[key][1])[0]
            else:
                rows += to_facts.kept_up_to(each).of_part(each)
    if new_rows:
        write_new(session, act, new_rows, texts)
    supersede_all(session, act, to_facts.pairs)
    if rows:
        write(session, act, rows)
    plan.renumbered |= {named: fact_id(type(fact), fact.id) for named, fact in to_facts.written_as.items()}
    keys = {key: part.id for key, (_, part) in made.items()}
    session.expunge_all()
    return keys


def _old_rows(session: Session, plans: Iterable[PartPlan | FactPlan | ListPlan]) -> dict[str, Any]:
    """The rows of the facts that are superseded, by fact id; one statement for each table."""
    wanted: dict[str, set[int]] = defaultdict(set)
    for plan in plans:
        for table, key in superseded(plan):
            wanted[table].add(key)
    found: dict[str, Any] = {}
    for table, keys in wanted.items():
        model: Any = declared(session).table(table)
        for (row,) in rows_among(session, select(model), model.id, keys):
            found[fact_id(table, row.id)] = row
    return found
