"""The sheets that are not about single parts: positions of cars, which part numbers work together, stock, rates."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from inventory.cars.queries import behind_named
from inventory.cars.tables import Car, Position, PositionListing
from inventory.declared import DECLARED
from inventory.errors import Refused
from inventory.facts.declare import Cell, FactKind
from inventory.hardware.tables import HardwareStock
from inventory.money import checked_rate
from inventory.parts.tables import Fit, PartNumber
from inventory.places.tables import Place
from inventory.reference.data import reference_of
from inventory.sheets.columns.cells import day_of, in_a_sheet, yes_or_no
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.plan.cars_named import Cars
from inventory.sheets.plan.differences import Change
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.sheets.plan.rows import ListPlan, Plan, PlanRow, place_in_file, refuse_row
from inventory.sheets.readers.tables import Row
from inventory.store.days.dates import When, parse_when
from inventory.store.facts import as_of
from inventory.store.words.nothing import is_no_name, name_given
from inventory.store.words.text import fold, squeeze
from inventory.valuation.facts import rate_columns
from inventory.valuation.tables import Rate

__all__ = ["LIST_SHEETS", "ListSheet", "Standing", "plan_lists"]

#: Columns that a row must fill beside those that identify it.
_NEEDED = {"hardware": ("count",), "rates": ("rate", "source")}
#: Columns in which a word for nothing says nothing.
_MAY_SAY_NOTHING = ("maker", "part number", "numbers", "area", "behind")


@dataclass(frozen=True)
class Standing:
    """The current fact on a position or two part numbers: its key (None: only the name is known), its cells."""

    fact: int | None
    cells: dict[str, str]


@dataclass(frozen=True)
class ListSheet:
    """One sheet: its kind of fact, the two columns that identify a row and how they are compared, the other columns.

    `of_days`: a row of another day is another fact, and supersedes none.

    `readers`: of columns that are read in a way of their own, not as the values of the kind of fact. `on_record` reads
    what stands, by the two columns as they are compared.
    """

    name: str
    kind: FactKind
    about: tuple[str, str]
    folded: Callable[[str], str]
    columns: tuple[str, ...]
    readers: Mapping[str, Callable[[str], str]]
    on_record: Callable[[Session], dict[tuple[str, ...], Standing]]
    of_days: bool = False

    def key(self, values: Mapping[str, str], on: str) -> tuple[str, ...]:
        """What a row is about, as it is compared; `on`: its day (EDTF)."""
        about = (self.folded(values.get(self.about[0], "")), self.folded(values.get(self.about[1], "")))
        return (*about, on) if self.of_days else about

    def read(self, column: str, text: str, cell: Cell) -> str:
        """What a cell says. Raises `Refused`."""
        if column in self.readers:
            return self.readers[column](text)
        value = self.kind.value(column, {})
        return value.show(value.read(text, cell))


def _order(text: str) -> str:
    if not text.isdecimal() or len(text) > 6:
        raise Refused("not-an-order", f'"{text}" is not a place in the order', hint="write a whole number, e.g. 3")
    return str(int(text))


def _positions_on_record(session: Session) -> dict[tuple[str, ...], Standing]:
    """All positions of all cars with their last listing, by folded car and position."""
    query = select(Position.id, Position.name, Car.name.label("car")).join(Car, Car.id == Position.car_id)
    query = query.where(Car.taken_away.is_(None), Position.taken_away.is_(None))
    rows = session.execute(query.order_by(Car.name_folded, Position.id)).all()
    listed = {fact.thing_id: fact for fact in session.scalars(as_of(select(PositionListing), PositionListing))}
    found: dict[tuple[str, ...], Standing] = {}
    for row in rows:
        fact = listed.get(row.id)
        cells = {"car": row.car, "position": row.name}
        if fact is not None:
            values = {
                "order": fact.ordinal,
                "kind": fact.kind,
                "maker": fact.maker,
                "part number": fact.part_number,
                "numbers": fact.numbers,
                "axis": fact.axis,
                "fasteners": fact.fasteners,
                "connections": fact.connections,
                "mounts": fact.mounts,
                "area": fact.area,
                "behind": fact.behind,
                "on": fact.so_from,
            }
            cells |= {column: str(value) for column, value in values.items() if value is not None}
        found[fold(row.car), fold(row.name)] = Standing(fact.id if fact else None, cells)
    return found


def _fits_on_record(session: Session) -> dict[tuple[str, ...], Standing]:
    """The current fact on each pair of part numbers, by their comparison keys."""
    sensor, unit = aliased(PartNumber), aliased(PartNumber)
    query = select(Fit.id, Fit.fits, Fit.so_from, sensor.written, unit.written.label("unit"))
    query = query.join(sensor, sensor.id == Fit.thing_id).join(unit, unit.id == Fit.unit_number_id)
    found: dict[tuple[str, ...], Standing] = {}
    for row in session.execute(as_of(query, Fit)):
        cells = {"sensor part number": row.written, "unit part number": row.unit, "fits": row.fits, "on": row.so_from}
        found[squeeze(row.written), squeeze(row.unit)] = Standing(row.id, cells)
    return found


def _hardware_on_record(session: Session) -> dict[tuple[str, ...], Standing]:
    """The last count of each thing at each place, by folded place and thing."""
    query = select(HardwareStock, Place.name).join(Place, Place.id == HardwareStock.thing_id)
    found: dict[tuple[str, ...], Standing] = {}
    for fact, place in session.execute(as_of(query, HardwareStock)):
        values = {"count": fact.count, "batch": fact.batch, "cured": fact.cured, "on": fact.so_from}
        cells = {"place": place or "", "spec": fact.spec}
        cells |= {column: str(value) for column, value in values.items() if value is not None}
        found[fold(place or ""), fold(fact.spec)] = Standing(fact.id, cells)
    return found


def _rates_on_record(session: Session) -> dict[tuple[str, ...], Standing]:
    """The rates of exchange, by currencies and day; of several of one day the last."""
    found: dict[tuple[str, ...], Standing] = {}
    for fact in session.scalars(as_of(select(Rate), Rate)):
        cells = {"from currency": fact.from_currency, "to currency": fact.to_currency}
        cells |= {"rate": fact.rate, "source": fact.source, "on": fact.so_from}
        found[fold(fact.from_currency), fold(fact.to_currency), fact.so_from] = Standing(fact.id, cells)
    return found


LIST_SHEETS: dict[str, ListSheet] = {
    "hardware": ListSheet(
        "hardware",
        DECLARED.fact(HardwareStock),
        ("place", "spec"),
        fold,
        ("count", "batch", "cured", "on"),
        {},
        _hardware_on_record,
    ),
    "positions": ListSheet(
        "positions",
        DECLARED.fact(PositionListing),
        ("car", "position"),
        fold,
        (
            *("order", "kind", "maker", "part number", "numbers", "axis", "fasteners", "connections", "mounts"),
            *("area", "behind", "on"),
        ),
        {"order": _order},
        _positions_on_record,
    ),
    "fits": ListSheet(
        "fits",
        DECLARED.fact(Fit),
        ("sensor part number", "unit part number"),
        squeeze,
        ("fits", "on"),
        {"fits": yes_or_no},
        _fits_on_record,
    ),
    "rates": ListSheet(
        "rates",
        DECLARED.fact(Rate),
        ("from currency", "to currency"),
        fold,
        ("rate", "source", "on"),
        {"rate": checked_rate},
        _rates_on_record,
        of_days=True,
    ),
}


def plan_lists(session: Session, plan: Plan, sheets: Sequence[SheetLayout], today: date) -> None:
    """Add the rows of the sheets of positions and of fits to the plan."""
    for name, kind in LIST_SHEETS.items():
        rows = [(sheet, row) for sheet in sheets if sheet.kind.name == name for row in sheet.rows]
        if not rows:
            continue
        named, known, cell = Cars(session), kind.on_record(session), in_a_sheet(today, reference_of(session))
        seen: set[tuple[str, ...]] = set()
        every = [(sheet, row, plan.values_of(sheet, row)) for sheet, row in rows]
        names = _names_by_car(known, [values for _, _, values in every]) if name == "positions" else {}
        for sheet, row, values in every:
            given, when, problems = _read(kind, sheet, values, named, cell)
            if "behind" in given:
                try:
                    beside = names[fold(values.get("car", ""))]
                    given["behind"] = behind_named(session.info, [given["behind"]], beside, values["position"]) or ""
                except Refused as refusal:
                    problems.append(problem_of(refusal, "behind", given["behind"]))
            about = kind.key(values, (when.edtf if when is not None else today.isoformat()))
            if about in seen:
                second = kind.about[1]
                problems.append(CellProblem(second, values.get(second, ""), "is in another row as well", "keep one"))
            seen.add(about)
            what = ", ".join(values.get(column, "") for column in kind.about)
            if problems:
                plan.rows.append(refuse_row(sheet, row, what, problems))
            else:
                keys = (values[kind.about[0]], values[kind.about[1]])
                plan.rows.append(_planned(sheet, row, kind, keys, given, when, known.get(about)))


def _names_by_car(known: Mapping[tuple[str, ...], Standing], rows: Sequence[Mapping[str, str]]) -> dict[str, list[str]]:
    """The positions of each car, by its folded name: those on record, and those that the file has."""
    found: dict[str, list[str]] = {}
    for values in (*(standing.cells for standing in known.values()), *rows):
        found.setdefault(fold(values.get("car", "")), []).append(values.get("position", ""))
    return found


def _read(
    kind: ListSheet, sheet: SheetLayout, values: dict[str, str], named: Cars, cell: Cell
) -> tuple[dict[str, str], When | None, list[CellProblem]]:
    """The values of a row, its day, and what is wrong in it."""
    given: dict[str, str] = {}
    when: When | None = None
    problems: list[CellProblem] = []
    for column in (*kind.columns, *kind.about):
        text = values.get(column, "")
        try:
            if column in kind.about:
                if not any(kind.folded(text)):
                    problems.append(CellProblem(column, text, "is needed here"))
                name_given(column, text)
            elif column in _MAY_SAY_NOTHING and is_no_name(text):
                continue
            elif text and column == "on":
                when = day_of(text, cell.today, sheet.cell_format("on"))
                given[column] = when.edtf
            elif text:
                given[column] = kind.read(column, text, cell)
        except Refused as refusal:
            problems.append(problem_of(refusal, column, text))
    problems += _missing(kind, values, given, {each.column for each in problems})
    if kind.name == "positions" and values.get("car") and named.name_of(values["car"]) is None:
        problems.append(named.unknown(values["car"]))
    elif kind.name == "positions" and (renamed := named.renamed(values.get("car"), values.get("position"))):
        problems.append(renamed)
    return given, when, problems


def _missing(
    kind: ListSheet, values: Mapping[str, str], given: Mapping[str, str], wrong: set[str]
) -> Iterator[CellProblem]:
    """What a row does not fill, and for a rate what its columns together cannot be."""
    missing = [column for column in _NEEDED.get(kind.name, ()) if column not in given and column not in wrong]
    for column in missing:
        yield CellProblem(column, "", "is needed here")
    if kind.name == "rates" and not missing and not wrong:
        one, other = (values[column] for column in kind.about)
        try:
            rate_columns(one, other, given["rate"], given["source"])
        except Refused as refusal:
            yield problem_of(refusal, kind.about[1], other)


def _planned(
    sheet: SheetLayout,
    row: Row,
    kind: ListSheet,
    keys: tuple[str, str],
    given: dict[str, str],
    when: When | None,
    standing: Standing | None,
) -> PlanRow:
    """Compare a row with the current fact on the same thing; listed numbers fit unless the row says no."""
    what = ", ".join(keys)
    old = standing.cells if standing else {}
    if kind.name == "fits" and standing is None:
        given.setdefault("fits", "yes")
    changes = tuple(Change(column, old.get(column), text) for column, text in given.items() if old.get(column) != text)
    if standing is not None and not changes:
        return PlanRow(sheet, row, "unchanged", about=what)
    cells = {**old, **given, kind.about[0]: keys[0], kind.about[1]: keys[1]}
    if when is None and "on" in old:
        when = parse_when(old["on"])
    work = ListPlan(kind.name, keys, cells, when, standing.fact if standing else None, place_in_file(sheet, row))
    return PlanRow(sheet, row, "added" if standing is None else "changed", work, what, changes)
