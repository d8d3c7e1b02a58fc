"""Builds the record of the invented workshop from its papers, in its state before the demo's walk.

The parts of the Green tourer are not in it yet: the walk takes them off.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

from sqlalchemy.orm import Session

from demo_db.notebook import PartName, Reading, readings
from demo_db.pictures import draw_all
from demo_db.sources import Row, sheet_file, table
from inventory.bench import actions as bench
from inventory.cars import actions as cars
from inventory.opening import make_record
from inventory.parts import actions as parts
from inventory.parts.load_lines import PartLine
from inventory.parts.markings import Markings
from inventory.parts.queries import lines_of
from inventory.people import actions as people
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.seals.actions import note_seal
from inventory.sheets import read_sheet
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.valuation.actions import note_value, set_policy

__all__ = ["Papers", "build", "conditions_of", "in_record", "name_of"]

BOOK = "Maud"
FITTER = "Ines"
#: Who owns, insures and lists what is in the record.
POLICY: dict[str, str | None] = {
    "owner": "Bertil Oskwend",
    "insurer": "Harbour Mutual",
    "preparer": "Maud Perriwane",
    "capacity": "keeper of the book",
    "number": "4-2207",
    "until": "2026-12-31",
}
#: The day on which the sheets were last checked against the shelves.
SHEETS_TELL_OF = "2026-03-21"


@dataclass(frozen=True)
class Papers:
    """What the papers say about parts not on record yet; the demo's walk records it."""

    seals: list[Row] = field(default_factory=list)
    provenance: list[Row] = field(default_factory=list)
    values: list[Row] = field(default_factory=list)
    work: list[Row] = field(default_factory=list)
    pictures: list[Row] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)


def build(folder: Path, target: str | None = None) -> tuple[Record, Papers]:
    """Make the record and its pictures in an empty folder. Returns it with the papers not recorded yet.

    `target`: the record's path or address, by default a file in the folder.
    """
    record = make_record(target or str(folder / "workshop.db"))
    pictures = folder / "pictures"
    pictures.mkdir(mode=0o700)
    draw_all(pictures)
    with record.write() as session:
        _enter_cars_people_places(session)
    for name in ("positions", "fits", "parts", "shelf"):
        with sheet_file(name) as path:
            read_sheet(record, path, BOOK, on=SHEETS_TELL_OF)
    with record.write() as session:
        _strip_downs(session)
    with record.write() as session:
        return record, _papers(session, pictures)


def name_of(row: Row) -> PartName:
    """The part that a row of the papers names."""
    return PartName(row["maker"], row["part number"], row["serial"])


def in_record(session: Session) -> dict[PartName, str]:
    """The tags of the parts on record, by their names in the papers."""

    def named(line: PartLine) -> PartName:
        return PartName(line.maker or "", line.part_number or "", line.serial or "")

    return {named(line): line.tag for line in lines_of(session)}


def conditions_of(reading: Reading, tags: Mapping[PartName, str]) -> dict[str, object]:
    """The conditions of a bench note as `bench.actions.run` takes them; the reference unit is given by its tag."""
    conditions: dict[str, object] = {**reading.conditions, "blank": list(reading.blanks)}
    if reading.reference is not None:
        conditions["reference"] = tags[reading.reference]
    return conditions


def _enter_cars_people_places(session: Session) -> None:
    """Enter the cars, the people and the places."""
    for row in table("cars"):
        details = {name: row[name] or None for name in ("maker", "model", "year", "chassis", "note")}
        cars.add_car(session, BOOK, row["car"], **details, on=row["acquired on"])
        if row["insured whole"] == "yes":
            cars.insure_car(session, BOOK, row["car"], True, policy=row["policy"], on=row["acquired on"])
    for row in table("contacts"):
        people.add_contact(
            session, BOOK, row["name"], role=row["role"], address=row["address"], telephone=row["telephone"]
        )
    for row in table("places"):
        told = {name: row[name] or None for name in ("within", "premises", "town", "security")}
        places.add_place(session, BOOK, row["place"], **told)
    for row in table("cars"):
        if row["stands at"]:
            cars.put_car(session, BOOK, row["car"], row["stands at"], on=row["acquired on"])
    set_policy(session, BOOK, POLICY, on="2026-01-05")


def _strip_downs(session: Session) -> None:
    """Log the earlier strip-downs: the Blue coupe's injection, the whole White estate."""
    for (car, on), rows in groupby(table("removals"), key=lambda row: (row["car"], row["on"])):
        teardown.begin(session, FITTER, car, on=on)
        for row in rows:
            _take_off(session, row)
        teardown.close(session, FITTER, car, on=on)


def _take_off(session: Session, row: Row) -> None:
    names = ("kind", "maker", "part number", "serial", "date code", "match code")
    markings = Markings(**{name.replace(" ", "_"): row[name] or None for name in names})  # type: ignore[arg-type]
    coming_off = teardown.ComingOff(
        position=row["position"],
        bag=row["bag"],
        condition=int(row["condition"]) if row["condition"] else None,
        note=row["notes"],
    )
    logged = teardown.log(session, FITTER, markings, coming_off, car=row["car"], on=row["on"])
    places.put(session, FITTER, logged.tag, row["place"], on=row["on"])
    if row["whose"] == "customer's":
        keeper = next(car for car in table("cars") if car["car"] == row["car"])
        provenance.note_provenance(
            session,
            BOOK,
            logged.tag,
            "left here by a customer",
            lane="custody",
            party=keeper["keeper"],
            on=keeper["acquired on"],
            text=f"with the {row['car']}",
        )


def _papers(session: Session, pictures: Path) -> Papers:
    """Record what the papers say about parts on record; return what they say about others."""
    tags = in_record(session)
    for row in _known(table("letters"), tags, []):
        read = Markings(match_code_state=row["state"])
        parts.describe(session, row["by"], row["tag"], read, on=row["on"])
        words = "; ".join(text for text in (f"may be {row['may be']}" if row["may be"] else "", row["note"]) if text)
        if words:
            parts.note(session, row["by"], row["tag"], words, on=row["on"])
    left = Papers()
    for row in _known(table("seals"), tags, left.seals):
        paper = pictures / row["document"] if row["document"] else None
        note_seal(
            session,
            row["by"],
            row["tag"],
            row["seal"],
            row["state"],
            on=row["on"],
            document=paper,
            how_known=row["how known"],
        )
    for row in _known(table("provenance"), tags, left.provenance):
        _passage(session, row)
    for row in _known(table("values"), tags, left.values):
        note_value(
            session,
            BOOK,
            row["tag"],
            row["amount"],
            row["currency"],
            basis=row["basis"],
            source=row["source"],
            capacity=row["capacity"],
            on=row["on"],
        )
    for row in _known(table("work"), tags, left.work):
        details = parts.WorkDetails(product=row["product"])
        parts.log_work(session, row["by"], row["tag"], row["what"], row["area"], details, on=row["on"])
    alone = [row for row in table("pictures") if row["serial"] and row["shows"] != "paper"]
    for row in _known(alone, tags, left.pictures):
        parts.attach(session, BOOK, row["tag"], pictures / row["file"], shows=row["shows"], on=row["taken on"])
    for reading in readings():
        if reading.part not in tags:
            left.readings.append(reading)
            continue
        tag = tags[reading.part]
        bench.run(
            session,
            reading.by,
            tag,
            reading.procedure,
            list(reading.readings),
            conditions_of(reading, tags),
            on=reading.on,
        )
    return left


def _passage(session: Session, row: Row) -> None:
    provenance.note_provenance(
        session,
        BOOK,
        row["tag"],
        row["how"],
        lane=row["lane"],
        whose=row["whose"] or None,
        party=row["party"] or None,
        attribution=row["attribution"],
        price=row["price"] or None,
        currency=row["currency"] or None,
        text=row["text"],
        on=row["on"],
    )


def _known(rows: list[Row], tags: dict[PartName, str], left: list[Row]) -> Iterator[Row]:
    """The rows of parts on record, each with its tag; the others go to `left`."""
    for row in rows:
        if name_of(row) in tags:
            yield {**row, "tag": tags[name_of(row)]}
        else:
            left.append(row)
