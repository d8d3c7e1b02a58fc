"""Why a part has no serial is read from the cell of its serial, in four languages; it is never a serial."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from inventory.opening import open_record
from inventory.parts.markings import Markings
from inventory.parts.queries import lines_of
from inventory.sheets.plan.part_cells import no_serial
from inventory.sheets.writers.sheets import write_sheets
from tests.build import make_part
from tests.sheets.conftest import Desk


def test_both_states_are_read_back(desk: Desk, sqlite_template: bytes, tmp_path: Path) -> None:
    worn = make_part(desk.record, Markings("relay", serial_state="not legible"))
    bare = make_part(desk.record, Markings("injector", serial_state="none on it"))
    path = tmp_path / "all.csv"
    write_sheets(desk.record, path)

    assert desk.read(path).remarks == []
    desk.again(path)
    (tmp_path / "other.db").write_bytes(sqlite_template)
    with closing(open_record(str(tmp_path / "other.db"))) as other:
        there = Desk(other, tmp_path)
        assert there.read(path).remarks == []
        assert (state_of(there, worn), state_of(there, bare)) == ((None, "not legible"), (None, "none on it"))
        assert there.fits()


def test_a_german_sheet_of_new_parts(desk: Desk) -> None:
    words = {"HV 1": "unleserlich", "HV 2": "ohne", "HV 3": "unbekannt", "HV 4": "dito", "HV 5": "entfällt"}
    rows = [["Relais", number, word] for number, word in words.items()]
    path = desk.csv([["Bauteil", "Teilenummer", "Seriennummer"], *rows])

    report = desk.read(path)

    with desk.record.read() as session:
        found = {line.part_number: (line.serial, line.serial_state) for line in lines_of(session)}
    states = ("not legible", "none on it", None, None, "none on it")
    assert found == dict(zip(words, ((None, state) for state in states), strict=True))
    assert [each.partition("serial: ")[2] for each in report.remarks] == [
        '"unbekannt" means not known, so it is left empty',
        '"dito" means as above, so it is left empty',
    ]
    desk.again(path)
    assert desk.fits()


def test_a_german_sheet_of_parts_on_record(desk: Desk) -> None:
    unseen = make_part(desk.record, Markings("relay", serial_state="not looked at"))
    read = make_part(desk.record, Markings("relay", serial="71-40822"))
    path = desk.csv([["Etikett", "Seriennummer"], [unseen, "ohne"], [read, "unleserlich"]])

    report = desk.read(path)

    assert (state_of(desk, unseen), state_of(desk, read)) == ((None, "none on it"), ("71-40822", None))
    (remark,) = report.remarks
    assert f'{read} has the serial 71-40822 on record, so "not legible" does not count' in remark
    desk.again(path)
    assert desk.fits()


def test_a_look_at_a_part_that_has_a_serial_is_kept_beside_it(desk: Desk) -> None:
    tag = make_part(desk.record, Markings("relay", serial="71-40822"))
    path = desk.csv([["tag", "serial", "seen by", "seen on"], [tag, "none", "Odo Fimber", "2026-02-01"]])

    desk.read(path)

    assert state_of(desk, tag) == ("71-40822", None)
    assert "none on it" in [each["serial_state"] for each in desk.card(tag).as_dict()["markings"]]
    desk.again(path)
    assert desk.fits()


@pytest.mark.parametrize(
    ("text", "language", "state"),
    [
        ("Illegible", "", "not legible"),
        ("worn away", "", "not legible"),
        ("illisible", "", "not legible"),
        ("illeggibile", "", "not legible"),
        ("néant", "", "none on it"),
        ("nessuno", "", "none on it"),
        ("none on it", "", "none on it"),
        ("s.o.", "fr", "none on it"),
        ("s.o.", "de", None),
        ("k.A.", "", None),
        ("71-40822", "", None),
    ],
)
def test_what_a_word_says(text: str, language: str, state: str | None) -> None:
    assert no_serial(text, language) == state


def state_of(desk: Desk, tag: str) -> tuple[str | None, str | None]:
    line = desk.card(tag).line
    return line.serial, line.serial_state
