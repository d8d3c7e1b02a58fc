"""Reading a sheet into the record: the plan made, then carried out whole or not at all, in one transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.errors import Misused, Refused
from inventory.parts import current
from inventory.parts.actions import new_parts
from inventory.parts.tables import PartNumber
from inventory.provenance.hands import begin_act
from inventory.provenance.tables import Provenance
from inventory.sheets.columns import PARTS
from inventory.sheets.differences import standing_acquisition, standing_value
from inventory.sheets.facts import FACT_SHEETS, table_of
from inventory.sheets.layout import Answers, SheetIn
from inventory.sheets.looking import Look, look, refuse_doubts
from inventory.sheets.plan import FactPlan, PartPlan, Plan
from inventory.sheets.plan_facts import plan_facts, plan_lists
from inventory.sheets.plan_parts import plan_parts
from inventory.sheets.progress import PLANNING, READING, WRITING, Tell, silent
from inventory.sheets.rejects import write_rejects
from inventory.sheets.remembered import remember
from inventory.sheets.report import Report, SheetRefused, report_of
from inventory.sheets.ways import UNKNOWN, Way
from inventory.sheets.written import LIST_TABLES, Named, fact_rows, list_rows, part_rows
from inventory.store import journal
from inventory.store.begin import RECORD_THING
from inventory.store.bulk import collector_resting
from inventory.store.clock import today
from inventory.store.dates import When, when_on
from inventory.store.facts import Act, fact_id
from inventory.store.files import refuse_taken
from inventory.store.record import Record
from inventory.store.tables import Base
from inventory.store.text import fold, squeeze
from inventory.tables import fact_model
from inventory.worth.money import checked_currency
from inventory.worth.tables import Valuation

__all__ = ["not_taken", "plan_file", "read_sheet", "take_in", "try_sheets"]

#: How many parts are written at a time; all of a file are one transaction.
_PARTS_AT_A_TIME = 2000


def read_sheet(
    record: Record,
    path: Path,
    by: str,
    *,
    trial: bool = False,
    rejects: Path | None = None,
    said: Mapping[str, str] | None = None,
    on: str | None = None,
    hidden: bool = False,
    way: Way = UNKNOWN,
    currency: str | None = None,
    keep: bool = False,
    over: bool = False,
    tell: Tell = silent,
) -> Report:
    """Read a file into the record, all of it or nothing; with `trial` nothing is written.

    `rejects` names a workbook for the rows that cannot be taken, and lets the others in; one that is there stays,
    unless `over`. `said` gives
    headers to columns, `on` the day the sheet tells of (today); `hidden` reads hidden sheets too, `way` says how
    days and figures are written in this file, `currency` in what amounts are that name none. `keep` keeps these
    answers for sheets headed so. `tell` is told how far it is. Raises `SheetRefused` where the file is refused;
    its report says why.
    """
    when_on(on, today())
    if rejects is not None:
        _check_rejects(rejects, path, over)
    tell(READING, 0, None)
    answers = Answers(said or {}, hidden=hidden, way=way, currency=currency and checked_currency(currency))
    seen = look(record, path, answers)
    refuse_doubts(seen.sheets)
    if trial:
        report = try_sheets(record, seen, hold=rejects is None, tell=tell)
        if report.refused and rejects is None:
            raise SheetRefused(not_taken(report.refused, path), report)
        return report
    return take_in(record, seen, by, rejects=rejects, on=on, keep=keep, over=over, tell=tell)


def try_sheets(record: Record, seen: Look, *, hold: bool = False, tell: Tell = silent) -> Report:
    """What the rows of a file would do to the record. Nothing is written; refused rows are told of, not raised.

    With `hold` one refused row holds back the others, as in a read without a workbook for it.
    """
    with collector_resting(), record.read() as session:
        plan = plan_file(session, seen.sheets, seen.remarks, tell=tell)
    return report_of(plan, held=hold and bool(plan.refused))


def take_in(
    record: Record,
    seen: Look,
    by: str,
    *,
    rejects: Path | None = None,
    on: str | None = None,
    keep: bool = False,
    over: bool = False,
    tell: Tell = silent,
) -> Report:
    """Plan the rows of a file anew, with nobody else writing, and carry the plan out: whole, or not at all.

    The workbook of refused rows is written first: without it the others do not go in. So it can be there, after a stop
    in between, while none of the file is in; read again with `over`, the file makes it anew.
    """
    with collector_resting(), record.write() as session:
        plan = plan_file(session, seen.sheets, seen.remarks, hold=True, tell=tell)
        refused = plan.refused
        if refused and rejects is None:
            raise SheetRefused(not_taken(len(refused), seen.path), report_of(plan, held=True))
        if refused and rejects is not None:
            write_rejects(rejects, refused, over=over)
        act = begin_act(session, "sheet read", by, RECORD_THING, *_things_of(session, plan))
        _carry_out(session, act, when_on(on, act.today), plan, tell)
        # What was said is needed again where the mended rows are read.
        needed = keep or (refused and seen.answered)
        if needed and remember(session, act, seen.sheets, seen.said):
            plan.remarks.append("How this sheet was read is kept for sheets headed so: matchmark sheet maps")
    return report_of(plan)


def _check_rejects(rejects: Path, path: Path, over: bool) -> None:
    if rejects.suffix.casefold() != ".xlsx":
        raise Misused("rejects-not-xlsx", f"{rejects}: refused rows go to a workbook", hint="name it .xlsx")
    refuse_taken(rejects, over=over, reading=[path])


def not_taken(count: int, path: Path) -> Refused:
    """That rows of a file cannot be taken, and so none of it."""
    rows = "1 row" if count == 1 else f"{count} rows"
    return Refused(
        "rows-refused",
        f"{rows} of {path.name} cannot be taken, so nothing of it was. Nothing was changed",
        where=str(path),
        hint="mend them and read it again, or let the others in: --rejects bad.xlsx",
    )


def plan_file(
    session: Session,
    sheets: Sequence[SheetIn],
    remarks: Iterable[str] = (),
    *,
    hold: bool = False,
    tell: Tell = silent,
) -> Plan:
    """What the rows of a file would do to the record. With `hold` nobody else reads a sheet into it meanwhile."""
    if hold:
        journal.lock_things(session, [RECORD_THING])
    plan = Plan(list(sheets), remarks=list(remarks))
    day = today()
    plan_parts(session, plan, [sheet for sheet in sheets if sheet.kind is PARTS], day, hold=hold, tell=tell)
    plan_facts(session, plan, [sheet for sheet in sheets if sheet.kind.name in FACT_SHEETS], day)
    plan_lists(session, plan, sheets, day)
    order = {id(sheet): place for place, sheet in enumerate(sheets)}
    plan.rows.sort(key=lambda row: (order[id(row.sheet)], row.row.row))
    tell(PLANNING, len(plan.rows), len(plan.rows))
    return plan


def _things_of(session: Session, plan: Plan) -> set[int]:
    """The keys of the things on record that a plan writes of: parts, positions and part numbers."""
    work = [row.work for row in plan.rows if row.work is not None]
    about = {each.part if isinstance(each, PartPlan) else each.about for each in work}
    things = {key for key in about if isinstance(key, int) and key > 0}
    named = {(fold(key[0]), fold(key[1])) for key in about if isinstance(key, tuple)}
    if named:
        positions = select(Position.id, Car.name_folded, Position.name_folded).join(Car, Car.id == Position.car_id)
        things.update(key for key, *place in session.execute(positions) if tuple(place) in named)
        numbers = {squeeze(key[0]) for key in about if isinstance(key, tuple)}
        known = session.execute(select(PartNumber.id, PartNumber.squeezed))
        things.update(key for key, squeezed in known if squeezed in numbers)
    return things


def _carry_out(session: Session, act: Act, day: When, plan: Plan, tell: Tell) -> None:
    """Write what a plan says, part by part: one entry in the journal for each thing, all of one act."""
    work = [row.work for row in plan.rows if row.work is not None]
    if not work:
        return
    named = Named.of(session, act, day, _people(work))
    lists = [(each, each.about) for each in work if isinstance(each, FactPlan) and isinstance(each.about, tuple)]
    if lists:
        old = _old_rows(session, [each for each, _ in lists])
        facts = [fact for each, about in lists for fact in list_rows(each, about, named, old)]
        journal.write(session, act, [*named.take_rows(), *facts])
    by_part: dict[int, list[PartPlan | FactPlan]] = defaultdict(list)
    for each in work:
        key = each.part if isinstance(each, PartPlan) else each.about
        if isinstance(key, int):
            by_part[key].append(each)
    keys = list(by_part)
    for start in range(0, len(keys), _PARTS_AT_A_TIME):
        tell(WRITING, start, len(keys))
        _write_parts(session, act, named, {key: by_part[key] for key in keys[start : start + _PARTS_AT_A_TIME]})
    tell(WRITING, len(keys), len(keys))


def _write_parts(session: Session, act: Act, named: Named, plans: Mapping[int, Sequence[PartPlan | FactPlan]]) -> None:
    old = _old_rows(session, [each for several in plans.values() for each in several])
    fresh = [key for key in plans if key < 0]
    tags_wanted = [each.cells.tag for key in fresh for each in plans[key] if isinstance(each, PartPlan)]
    made = dict(zip(fresh, new_parts(session, len(fresh), tags_wanted), strict=True)) if fresh else {}
    rows: list[Base] = []
    for key, several in plans.items():
        part_id = made[key][1].id if key < 0 else key
        rows += made.get(key, ())
        for each in several:
            write = part_rows if isinstance(each, PartPlan) else fact_rows
            rows += write(each, part_id, named, old)  # type: ignore[arg-type]
    current.record(session, act, [*named.take_rows(), *rows])
    session.expunge_all()


def _people(work: Iterable[PartPlan | FactPlan]) -> set[str]:
    named = {each.cells.acquired_from if isinstance(each, PartPlan) else each.cells.get("party") for each in work}
    return {name for name in named if name}


def _old_rows(session: Session, plans: Iterable[PartPlan | FactPlan]) -> dict[str, Any]:
    """The rows of the facts whose place is taken, by fact id."""
    wanted: dict[str, set[int]] = defaultdict(set)
    for plan in plans:
        if isinstance(plan, FactPlan):
            if plan.old is not None:
                sheet = FACT_SHEETS.get(plan.sheet)
                wanted[table_of(sheet) if sheet else LIST_TABLES[plan.sheet]].add(plan.old)
            continue
        if (came := standing_acquisition(plan.state)) and {"acquired on", "acquired from", "price"} & plan.changed:
            wanted[Provenance.__tablename__].add(came.id)
        if "value" in plan.changed and (stated := standing_value(plan.cells, plan.state)):
            wanted[Valuation.__tablename__].add(stated.id)
    found: dict[str, Any] = {}
    for table, keys in wanted.items():
        model: Any = fact_model(table)
        ordered = sorted(keys)
        for start in range(0, len(ordered), 500):
            for row in session.scalars(select(model).where(model.id.in_(ordered[start : start + 500]))):
                found[fact_id(table, row.id)] = row
    return found
