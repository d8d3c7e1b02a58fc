"""The cells of sheets of facts that cannot be read and are not needed: each is kept as text of its part, once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from sqlalchemy.orm import Session

from inventory.facts.declare import FactDraft, declared
from inventory.facts.how_known import FROM_A_SHEET
from inventory.facts.views import facts_of_many, own_columns
from inventory.parts.tables import UnreadCell
from inventory.sheets.plan.differences import Change
from inventory.sheets.plan.fact_rows import FactRow
from inventory.sheets.plan.rows import FactPlan, PlanRow, place_in_file
from inventory.store.days.dates import When
from inventory.store.facts import split_fact_id

__all__ = ["UnreadInFacts"]


def _about(sheet: str, column: str) -> str:
    """The column that a cell was for, with its sheet: parts have columns of the same names."""
    return f"{sheet}: {column}"


class UnreadInFacts:
    """What is on record of such cells, and the facts that keep new ones."""

    def __init__(self, session: Session, rows: Sequence[FactRow], day: When, today: date) -> None:
        """Read those of the parts of these rows. `day`: the day of facts without their own."""
        self._session, self._day, self._today = session, day, today
        keys = sorted(
            {row.part.id for row in rows if row.part is not None and row.part.id > 0 and not row.sheet.kind.own}
        )
        self._known: dict[tuple[int, str], list[tuple[int, str]]] = defaultdict(list)
        for part, facts in facts_of_many(session, keys, [UnreadCell]).items() if keys else ():
            for fact in facts:
                if fact.superseded_by is None and fact.values["for_column"]:
                    key = (split_fact_id(fact.id) or ("", 0))[1]
                    self._known[part, fact.values["for_column"]].append((key, fact.values["text"]))

    def of(self, row: FactRow) -> Mapping[str, list[int]]:
        """The keys of such cells of a row's part by the columns of its sheet."""
        if row.part is None or not self._known:
            return {}
        columns = row.sheet.kind.columns
        found = {each: self._known.get((row.part.id, _about(row.sheet.kind.name, each)), []) for each in columns}
        return {column: [key for key, _ in cells] for column, cells in found.items() if cells}

    def noted(self, row: FactRow, planned: PlanRow) -> PlanRow:
        """A planned row with its cells that are kept as text; if only they are new, it changes the part by them."""
        if not row.unread or row.part is None or planned.verdict == "refused":
            return planned
        planned.unread = tuple(each.at(row.sheet.name, row.row.number) for each in row.unread)
        headers = {each.column: each.header for each in reversed(row.sheet.headings)}
        changes = []
        for each in row.unread:
            about = _about(row.sheet.kind.name, each.column)
            if any(text == each.value for _, text in self._known.get((row.part.id, about), ())):
                continue
            self._known[row.part.id, about].append((0, each.value))
            said = {"header": headers.get(each.column, each.column), "for_column": about, "text": each.value}
            planned.beside += (self._plan(row, said),)
            changes.append(Change(f"{each.column} as text", None, each.value))
        if changes and planned.verdict == "unchanged":
            planned.verdict = "changed"
        planned.fact_changes += tuple(changes)
        return planned

    def _plan(self, row: FactRow, said: Mapping[str, str]) -> FactPlan:
        part = row.part.id if row.part is not None else 0
        kind = declared(self._session).fact(UnreadCell)
        columns: dict[str, str | None] = {**dict.fromkeys(own_columns(UnreadCell)), **said}
        latest = min(self._day.latest, self._today).isoformat()
        draft = FactDraft(part, columns, self._day.edtf, latest)
        return FactPlan(kind, draft, part, None, FROM_A_SHEET, at=place_in_file(row.sheet, row.row))
