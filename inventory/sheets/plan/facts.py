"""Plans the sheets of facts: reads each row, finds what it is about, compares it with the record, validates it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactKind
from inventory.facts.views import FactView, facts_of_many
from inventory.parts import tags
from inventory.reference.data import reference_of
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.plan.fact_cells import FactReader, cells_of, differing
from inventory.sheets.plan.fact_rows import FactRow, keepable, needed, validated_rows
from inventory.sheets.plan.match import Index, index_of, resolve
from inventory.sheets.plan.noticed import set_aside_remarks
from inventory.sheets.plan.on_record import Identity, identities
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.sheets.plan.rows import PartPlan, Plan, PlanRow
from inventory.sheets.plan.things import ThingsNamed, about_thing, renumber
from inventory.sheets.plan.unread_in_facts import UnreadInFacts
from inventory.store.days.dates import When
from inventory.store.words.text import squeeze

__all__ = ["plan_facts"]


def plan_facts(
    session: Session,
    plan: Plan,
    sheets: Sequence[SheetLayout],
    today: date,
    day: When,
    new: Mapping[str, Mapping[str, int]] | None = None,
) -> None:
    """Add the rows of the sheets of facts to the plan; those of parts must be in it already, or their parts on record.

    `today`: no day in a cell may be later. `day`: the day of facts without their own. `new`: the keys of things that
    the plan makes, by table and folded name.
    """
    read = [row for sheet in sheets if sheet.kind.fact for row in _read(session, plan, sheet, sheet.kind.fact, today)]
    if not read:
        return
    of_file = _of_file(plan)
    known = identities(
        session,
        [row.named.tag for row in read if row.named.tag],
        [row.named.serial_alike for row in read if row.named.serial],
    )
    parts = {each.id: each for each in known} | of_file
    index = index_of(parts.values())
    things = ThingsNamed(session, new or {})
    problems = [
        _find_part(row, parts, index) if (about := about_thing(row)) is None else things.find(row, *about)
        for row in read
    ]
    facts = _Facts(
        session, [row.part.id for row in read if row.part is not None], {row.kind for row in read}, plan.renumbered
    )
    unread = UnreadInFacts(session, read, day, today)
    to_validate: dict[FactKind, list[FactRow]] = defaultdict(list)
    for row, problem in zip(read, problems, strict=True):
        planned = row.refused(*problem) if row.problems or problem else _compared(plan, row, facts, unread)
        if planned is not None:
            plan.rows.append(unread.noted(row, planned))
        else:
            to_validate[row.kind].append(row)
    strict = plan.answers.strict or plan.elsewhere
    for kind, rows in to_validate.items():
        every = list(validated_rows(session, kind, rows, of_file, day, today, strict=strict))
        for row, fresh in zip(rows, every, strict=True):
            late = row.unread and row.part is not None and fresh.verdict != "refused"
            equal = late and (
                facts.claim_equal(row.part.id, row) if row.old is None and row.part is not None else not row.changed
            )
            plan.rows.append(unread.noted(row, row.unchanged() if equal else fresh))


def _read(session: Session, plan: Plan, sheet: SheetLayout, kind: FactKind, today: date) -> Iterator[FactRow]:
    reader = FactReader(kind, sheet, today, reference_of(session))
    marked = ("maker", "part number", "serial") if not sheet.kind.own else ()
    for row in sheet.rows:
        texts = plan.values_of(sheet, row)
        written_as = texts.pop("fact", "") if plan.elsewhere else ""
        if plan.elsewhere:
            renumber(kind, texts, plan.renumbered)
        kept = frozenset[str]() if plan.answers.strict or plan.elsewhere else keepable(sheet)
        given, problems, unread = reader.read_all_but(texts, row.number, kept)
        tag = None
        try:
            tag = tags.parse(texts["tag"]) if "tag" in texts else None
        except Refused as refusal:
            problems.append(problem_of(refusal, "tag", texts["tag"]))
        maker, number, serial = (
            reader.said(column, texts[column], row.number) if column in texts and column in marked else None
            for column in ("maker", "part number", "serial")
        )
        named = PartCells(tag=tag, maker=maker, part_number=number, serial=serial)
        yield FactRow(
            *(sheet, row, kind, texts, named, given, problems), unread=unread, written_as=written_as, reader=reader
        )
    plan.remarks += set_aside_remarks(sheet.name, reader.set_aside)


def _of_file(plan: Plan) -> dict[int, Identity]:
    """The parts that this file adds or changes, by key, as it leaves them."""
    found = {}
    for row in plan.rows:
        if isinstance(row.work, PartPlan):
            key, cells, state = row.work.part, row.work.cells, row.work.state
            found[key] = Identity(
                key,
                state.tag or cells.tag or "",
                cells.kind or state.kind,
                cells.maker or state.maker,
                cells.part_number or state.part_number,
                cells.serial or state.serial,
            )
    return found


def _find_part(row: FactRow, parts: Mapping[int, Identity], index: Index) -> tuple[CellProblem, ...]:
    """Find the part that a row is about, or say why it cannot be found."""
    named = row.named
    match = resolve(named, index)
    if match is None:
        hint = "give its tag, or maker, part number and serial"
        return (CellProblem("tag", "", "does not say which part it is about", hint),)
    if match.problem is not None:
        return (match.problem,)
    if match.part_id is None:
        words = named.tag or " ".join(filter(None, (named.maker, named.part_number, named.serial)))
        problem = "no part on record is this one"
        return (CellProblem("tag" if named.tag else "serial", words, problem, _same_serial(row, index)),)
    part = index.tags.get(named.tag) if named.tag else None
    if part and named.serial and named.serial_key != squeeze(part.serial or ""):
        problem = f"{part.tag} has the serial {part.serial}" if part.serial else f"{part.tag} has no serial on record"
        return (CellProblem("serial", named.serial, problem, "one of the two belongs to another row"),)
    row.part = parts[match.part_id]
    return ()


def _same_serial(row: FactRow, index: Index) -> str | None:
    """What to do about a row that has the serial of parts on record, and nothing else that tells which one it is."""
    same = [each.tag for some in index.serials.get(row.named.serial_key, {}).values() for each in some if each.tag]
    if row.named.tag or not row.named.serial or not same:
        return None
    few = ", ".join(same[:5])
    return f"{few} {'has' if len(same) == 1 else 'have'} this serial: write the tag, or maker and part number as well"


class _Facts:
    """The facts on record about the parts of the rows; each fact matches at most one row."""

    def __init__(
        self, session: Session, keys: Iterable[int], kinds: Iterable[FactKind], renumbered: dict[str, str]
    ) -> None:
        """Read them once for all rows, superseded ones included: a row may carry the id of one."""
        self.renumbered = renumbered
        on_record = sorted({key for key in keys if key > 0})
        every = facts_of_many(session, on_record, [kind.table for kind in kinds], superseded=True)
        self.by_id = {fact.id: fact for facts in every.values() for fact in facts}
        self._claimed: set[str] = set()
        self._free: dict[tuple[int, str], list[FactView]] = defaultdict(list)
        for fact in self.by_id.values():
            if fact.superseded_by is None:
                self._free[fact.thing_id, fact.table].append(fact)

    def claim_equal(self, part: int, row: FactRow) -> bool:
        """Claim a free fact that agrees with a row; return whether there is one."""
        free = self._free.get((part, row.kind.name), [])
        for place, fact in enumerate(free):
            if not differing(row.kind, row.given, fact):
                del free[place]
                self.renumbered[row.written_as] = fact.id
                return True
        return False

    def claim_but(self, part: int, row: FactRow, columns: Collection[str]) -> FactView | None:
        """Claim the only free fact that differs from a row in nothing but these columns, which it does not give."""
        free = self._free.get((part, row.kind.name), [])
        shown = {fact.id: cells_of(row.kind, fact) for fact in free}
        found = [
            fact
            for fact in free
            if all(each in columns and not shown[fact.id].get(each) for each in differing(row.kind, row.given, fact))
        ]
        if len(found) != 1:
            return None
        self.claim(found[0])
        return found[0]

    def standing(self, fact: FactView) -> FactView | None:
        """The current fact that replaced a fact; None if it was taken back."""
        while fact.superseded_by is not None:
            if fact.superseded_by not in self.by_id:
                return None
            fact = self.by_id[fact.superseded_by]
        return fact

    def claim(self, fact: FactView) -> bool:
        """Claim a fact for the row with its id; return whether no other row has it."""
        free = self._free.get((fact.thing_id, fact.table), [])
        free[:] = [each for each in free if each.id != fact.id]
        fresh = fact.id not in self._claimed
        self._claimed.add(fact.id)
        return fresh


def _compared(plan: Plan, row: FactRow, facts: _Facts, unread: UnreadInFacts) -> PlanRow | None:
    """Plan a row whose part was found; None if it is new or changed and has to be validated first."""
    if row.part is None or "fact" in row.texts:
        return _with_id(plan, row, facts)
    missing = [column for column in needed(row.sheet.kind) if column not in row.given.columns]
    if missing:
        return row.refused(CellProblem(missing[0], "", "is needed here"))
    if facts.claim_equal(row.part.id, row):
        return row.unchanged()
    row.changed = row.given.columns
    on_record = unread.of(row)
    if on_record and (mended := facts.claim_but(row.part.id, row, on_record.keys())) is not None:
        row.old, row.changed = mended, differing(row.kind, row.given, mended)
        row.read_now = {column: on_record[column][0] for column in row.changed if column in on_record}
    return None


def _with_id(plan: Plan, row: FactRow, facts: _Facts) -> PlanRow | None:
    """Plan a row with the id of a fact: it agrees with the current fact, or supersedes it."""
    kind, part, text = row.kind, row.part, row.texts.get("fact", "")
    written = facts.by_id.get(text.strip())
    if written is None or part is None or written.table != kind.name or written.thing_id != part.id:
        hint = "leave the cell empty for a new one"
        return row.refused(CellProblem("fact", text, f"{row.what} has no such fact", hint))
    standing = facts.standing(written)
    if standing is None:
        problem = "has been taken back since this sheet was written"
        return row.refused(CellProblem("fact", written.id, problem, "take the row out"))
    if not facts.claim(standing):
        return row.refused(CellProblem("fact", written.id, "is in two rows", "keep one"))
    row.old, row.changed = standing, differing(kind, row.given, standing)
    if row.changed and standing is not written and not differing(kind, row.given, written):
        plan.remarks.append(
            f"{row.sheet.name}, row {row.row.number}: {written.id} was corrected after this sheet was written; "
            f"{standing.id} stands"
        )
        return row.unchanged()
    return None if row.changed else row.unchanged()
