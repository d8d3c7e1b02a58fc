"""Makes records for tests by the same actions that people use.

All names are invented. `whole_record` leaves at least one row in every table of a record.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import func, select

from inventory.bench import actions as bench
from inventory.bench.instruments import actions as instruments
from inventory.cars import actions as cars
from inventory.cars import write_names
from inventory.counting.tables import CountLine, Stocktake
from inventory.declared import DECLARED
from inventory.evidence import actions as evidence
from inventory.facts import change
from inventory.facts.redact import redact
from inventory.facts.write import write
from inventory.given_out.tables import GivenOut, PaperWritten
from inventory.labels import actions as labels
from inventory.pairing import actions as pairing
from inventory.papers.tables import PassportRead
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.people import actions as people
from inventory.people.actions import begin_act
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.record import actions as clocks
from inventory.record.tables import SheetReading
from inventory.record.write_limits import take_limits
from inventory.seals import actions as seals
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.layout import Answers, lay_out
from inventory.sheets.columns.saved_mappings import save_mappings
from inventory.sheets.readers.tables import Row, Table
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.journal import entries as journal
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.valuation import actions as worth
from tests.examples import example_of, name_of_a

__all__ = ["BY", "CAR", "Whole", "make_car", "make_part", "whole_record"]

BY = "Ines"
CAR = "Green tourer"
SENSOR = Markings(
    kind="pressure sensor",
    maker="Ostrell",
    part_number="HV 204 118",
    serial="71-40822",
    date_code="0672",
    match_code="K",
    marks="dot of yellow paint",
    extra={"shelf list": "row 9"},
)
UNIT = Markings(kind="control unit", maker="Halvard", part_number="HV 310 002", serial="5512", match_code="K")


@dataclass(frozen=True)
class Whole:
    """What `whole_record` made, by the tags of its parts and the keys of its things."""

    sensor: str
    unit: str
    relay: str
    car: int
    contact: int
    facts: tuple[str, ...]


def make_car(record: Record, name: str = CAR) -> int:
    """A car with a position listed. Gives its key."""
    with record.write() as session:
        details = {"maker": "Halvard", "model": "Orsel injection", "year": "1972", "chassis": "OR-20417"}
        key = cars.add_car(session, BY, name, note="blue once", **details)
        listing = cars.Listing(1, "pressure sensor", "Ostrell", "HV 204 118", "across", "3x M6x20 hex", "plug", "3x")
        cars.list_position(session, BY, name, "inner wing", listing)
    return key


def make_part(record: Record, markings: Markings = SENSOR, *, place: str | None = None, **details: object) -> str:
    """A part, put at a place where one is given. Gives its tag."""
    with record.write() as session:
        tag = parts.add_part(session, BY, markings, **details)  # type: ignore[arg-type]
        if place is not None:
            places.put(session, BY, tag, place)
    return tag


def whole_record(record: Record, folder: Path) -> Whole:
    """One of everything: at least one row in each table, by real actions. `folder` takes the documents' originals."""
    car = make_car(record)
    with record.write() as session:
        cars.insure_car(session, BY, CAR, True, policy="P 7")
        places.add_place(session, BY, "B2", premises="workshop")
        cars.list_position(session, BY, CAR, "wnig", cars.Listing())
        write_names.remove_position(session, BY, CAR, "wnig", "a typing mistake")
    tags = _strip_down(record, folder)
    contact = _people(record, tags[0], folder)
    facts = _facts(record, *tags, folder)
    with record.write() as session:
        act = begin_act(session, "condition-list", BY, RECORD_THING)
        given = {"what": "condition list", "number": 1, "fingerprint": "0" * 64}
        counted = {"number": 1, "scope_id": None, "begun": "2026-03-01", "here": 3, "not_here": 0, "elsewhere": 0}
        today = when_on(None, act.today)
        made = [make_fact(table, act, RECORD_THING, today, **given) for table in (PaperWritten, GivenOut)]
        journal.write(session, act, [*made, make_fact(Stocktake, act, RECORD_THING, today, **counted)])
        answers = Answers({"teil": "kind"}, cell_format=CellFormat("day-first", "comma", 1900), currency="EUR")
        sheets = lay_out([Table("parts", [Row(1, ["Teil", "Serial"])])], answers).sheets
        save_mappings(session, act, sheets, answers)
        read_in = {"file_name": "a.csv", "tab": "parts", "headers": "[]", "rows": 1, "parts": "[]", "to_mend": 0}
        journal.write(session, act, [make_fact(SheetReading, act, RECORD_THING, today, **read_in)])
    (folder / "own.toml").write_text('[[kind]]\nname = "vacuum advance unit"\nplural = "vacuum advance units"\n')
    with record.write() as session:
        take_limits(session, BY, folder / "own.toml")
    with record.write() as session:
        sensor = part_row(session, tags[0]).id
        told = parts.note(session, BY, tags[0], "heard from a neighbour")
        redact(session, BY, told, "asked for it", words="a neighbour")
        act = begin_act(session, "counted", BY, sensor)
        line = {"occasion": "count 1", "found": "here", "place_id": None}
        read = {"from_record": "0" * 32, "their_tag": "K4127-7", "digest": "0" * 64, "signed_by": None, "taken": "[]"}
        today = when_on(None, act.today)
        write(session, act, [make_fact(CountLine, act, sensor, today, **line)])
        write(session, act, [make_fact(PassportRead, act, sensor, today, **read)])
    with record.write() as session:
        for kind in DECLARED.facts:
            if session.scalar(select(func.count()).select_from(kind.table)) == 0 and kind.not_correctable is None:
                about = kind.about[0]
                change.add(session, BY, kind.word, name_of_a(session, about), example_of(session, kind), of=about)
    with record.write() as session:
        clocks.state_wrong(session, BY, clocks.moments_of_act(session, facts[0]), "the battery was flat")
    return Whole(*tags, car, contact, facts)


def _strip_down(record: Record, folder: Path) -> tuple[str, str, str]:
    picture = folder / "a.jpg"
    picture.write_bytes(b"a picture of the inner wing")
    with record.write() as session:
        teardown.begin(session, BY, CAR, care="battery off, on stands")
        coming = ComingOff(
            position="inner wing",
            axis="across",
            fasteners=["3x M6x20 hex"],
            connections=["4-pin plug", "vacuum hose 4 mm"],
            mounts=["3x grommet 10 x 18 x 8"],
            bag="7",
            car_side="two threads gone",
            condition=2,
            damage="one stud bent",
            note="came off hard",
            seals=[("cap", "intact")],
            pictures=[picture],
        )
        sensor = teardown.log(session, BY, SENSOR, coming).tag
    with record.write() as session:
        unit = teardown.log(
            session, BY, UNIT, ComingOff(position="behind the seat", as_one_with=sensor), on="2026-03-01"
        ).tag
    with record.write() as session:
        relay = teardown.log(session, BY, Markings(kind="relay"), ComingOff()).tag
    with record.write() as session:
        teardown.stays_on(session, BY, CAR, "tank", "not needed off")
        teardown.close(session, BY, CAR)
        teardown.fit(session, BY, unit, "behind the seat", override="to try it")
    return sensor, unit, relay


def _people(record: Record, tag: str, folder: Path) -> int:
    receipt = folder / "receipt.txt"
    receipt.write_text("one pressure sensor", encoding="utf-8")
    with record.write() as session:
        key = people.add_contact(
            session, BY, "Marta Lindqvist", role="seller", address="Mill Lane 4", telephone="0123 456"
        )
        provenance.note_provenance(
            session,
            BY,
            tag,
            "bought",
            party="Marta Lindqvist",
            attribution="document",
            price="280",
            currency="EUR",
            text="with two hoses",
            document=receipt,
            on="about 1998",
        )
        people.add_contact(session, BY, "Otto Brandt", address="Quay 9")
        people.blank_contact(session, BY, "Otto Brandt", "asked for it")
    return key


def _facts(record: Record, sensor: str, unit: str, relay: str, folder: Path) -> tuple[str, ...]:
    with record.write() as session:
        paper = folder / "sale.txt"
        paper.write_text("two sale results", encoding="utf-8")
        instruments.add_instrument(session, BY, "Gauge 2", what="vacuum gauge", dial_unit="cmHg", due="2027-01")
        instruments.calibrate(session, BY, "Gauge 2", "passed", paper=paper, on="2026-01")
        conditions = {"resolution": "1cmHg", "ambient": "20degC", "instrument": "Gauge 2"}
        bench.run(session, BY, sensor, "hold", ["0s=50cmHg", "10s=48cmHg"], conditions, on="2026-03-03")
        note = parts.note(session, BY, relay, "clicks", on="2026-02")
        facts = (
            seals.note_seal(session, BY, sensor, "sealant", "intact", on="2026-03-02"),
            parts.log_work(
                session, BY, sensor, "new mounts", "outside", parts.WorkDetails(product="rubber"), on="2026-03-04"
            ),
            parts.assess(session, BY, relay, 1, damage="a scratch"),
            evidence.note_claim(session, BY, sensor, "tested", by_whom="Marta Lindqvist", on="about 1998"),
            pairing.reserve(session, BY, sensor, why="for the Green tourer"),
            pairing.file_paper(session, BY, sensor, paper, unit=unit, on="2026-03"),
            worth.note_value(session, BY, sensor, "850", "EUR", source="two sales", capacity="owner", document=paper),
            places.put(session, BY, sensor, "B2"),
            parts.attach(session, BY, relay, paper, shows="paper"),
            labels.stick(session, BY, f"{sensor} C4", "plug"),
            parts.state_fit(session, BY, "HV 204 118", "HV 310 002"),
            parts.supersede(session, BY, "HV 204 117", "HV 204 118"),
            note,
        )
    with record.write() as session:
        labels.new_roll(session, BY, 2, 2)
        labels.swap(session, BY, unit, relay)
    with record.write() as session:
        labels.swap(session, BY, unit, relay)  # they were right
        change.withdraw(session, BY, note, "wrong part")
        change.correct(session, BY, facts[2], {"damage": "two scratches"}, "looked again")
    return facts


def tables_without_rows(record: Record) -> list[str]:
    """The tables in which there is nothing yet."""
    from inventory.store.tables import Base

    with record.read() as session:
        return [
            name
            for name, table in Base.metadata.tables.items()
            if session.execute(select(table).limit(1)).first() is None
        ]
