"""What only a sheet says, at the other doors: next month's sheet after looks of our own, a list, and what others get."""

from __future__ import annotations

import zipfile
from pathlib import Path

from inventory.condition_list.actions import condition_list
from inventory.condition_list.item_lines import item_lines
from inventory.papers.passport.write_passport import write_passport
from inventory.parts.actions import describe
from inventory.parts.markings import Markings
from inventory.seals.actions import note_seal
from inventory.sheets.writers.folder import write_folder
from inventory.valuation.actions import note_value
from tests.sheets.conftest import BY, Desk

HEAD = ["Art", "Hersteller", "Teilenummer", "Seriennummer", "Kennbuchstabe", "Plombe", "Wert (EUR)", "Notiz", "Telefon"]
SENSOR = ["Drucksensor", "Ferrol", "HV 204 118", "71-1192", "K", "fehlt", "900", "", ""]
SECRET = ["Steuergerät", "Ferrol", "SG 110 004", "55-12", "C", "", "1200", "Frau Brauns, Lindenweg 4", "0171 5551234"]
RELAY = ["Relais", "Tolvranne", "HV 332 014", "", "", "", "40", "", ""]


def test_our_own_look_makes_neither_a_second_part_nor_a_change_of_next_months_sheet(desk: Desk) -> None:
    path = desk.csv([HEAD, SENSOR, RELAY], "Teile 2019-01.csv")
    desk.read(path, on="2019")
    tags = desk.tags()
    kinds = {desk.card(tag).line.kind: tag for tag in tags}
    sensor, relay = kinds["pressure sensor"], kinds["relay"]
    with desk.record.write() as session:
        describe(session, BY, sensor, Markings(maker="Ostrell", serial="71-1193", match_code="C"))
    with desk.record.write() as session:
        note_seal(session, BY, sensor, "cap", "intact")
    with desk.record.write() as session:
        note_value(session, BY, sensor, "700", "EUR")
    with desk.record.write() as session:
        describe(session, BY, relay, Markings(maker="Torr", serial="9-1"))

    desk.again(path, on="2019")
    moved = desk.csv([HEAD, [*SENSOR[:6], "950", "", ""], RELAY], "Teile 2019-02.csv")
    report = desk.read(moved, on="2019-02")

    assert (report.added, report.changed, desk.tags()) == (0, 1, tags)
    assert [each.column for row in report.rows for each in row.changes] == ["value"]
    line = desk.card(sensor).line
    assert (line.serial, line.match_code, line.seal_state, desk.card(relay).line.serial) == (
        "71-1193",
        "C",
        "intact",
        "9-1",
    )
    assert desk.fits()


def test_a_list_marks_what_nobody_here_read_from_the_part(desk: Desk) -> None:
    desk.read(desk.csv([HEAD, SENSOR]), on="2019")
    with desk.record.read() as session:
        (item,) = condition_list(session).items
    lines = dict(item_lines(item, "market"))
    with desk.record.write() as session:
        describe(session, BY, desk.only(), Markings(match_code="K"))
    with desk.record.read() as session:
        (seen,) = condition_list(session).items

    assert {mark.told for mark in item.marks_verbatim} == {"as a sheet says"}
    assert 'match code "K", as a sheet says' in lines["Marks"]
    assert lines["To note"] == "seal cap missing, 2019, written in a sheet"
    assert lines["From"].startswith("how it came: not known")
    assert {mark.what: mark.told for mark in seen.marks_verbatim}["match code"] is None


def test_others_get_nothing_of_an_owners_own_columns_notes_and_names_of_files(desk: Desk) -> None:
    desk.read(desk.csv([HEAD, SENSOR, SECRET], "Sammlung Meier.csv"), on="2019")
    tag = next(tag for tag in desk.tags() if desk.card(tag).line.kind == "control unit")
    heir, others, passport = desk.folder / "heir", desk.folder / "others", desk.folder / "p.zip"
    write_folder(desk.record, BY, heir)
    made = write_folder(desk.record, BY, others, others=True)
    write_passport(desk.record, BY, tag, passport, names="cut")

    with zipfile.ZipFile(passport) as held:
        history = "".join(held.read(name).decode() for name in held.namelist())
    told, kept = _texts(others), _texts(heir)
    for secret in ("0171 5551234", "Lindenweg", "Sammlung Meier"):
        assert secret in kept and secret not in told, secret
    assert "Meier" not in history and "0171" not in history
    assert "written in a sheet, row 3, kept up to 2019" in history
    assert "own columns of sheets" in made.left_out


def test_a_part_of_an_old_sheet_came_no_later_than_that(desk: Desk) -> None:
    desk.read(desk.csv([[*HEAD, "Kaufpreis (EUR)"], [*SENSOR, "240"]]), on="2019")
    (came,) = desk.card()["provenance"]
    assert (came.values["how"], came.on) == ("bought", "../2019-12-31")


def _texts(folder: Path) -> str:
    return "".join(path.read_text(encoding="utf-8-sig") for path in folder.glob("*.[ch]*"))


def test_a_letter_of_a_sheet_never_replaces_the_one_that_we_read(desk: Desk) -> None:
    desk.read(desk.csv([["Kind", "Serial", "Match code"], ["pressure sensor", "71-1", "K"]]))
    (tag,) = desk.tags()
    with desk.record.write() as session:
        describe(session, BY, tag, Markings(match_code="N"))
    path = desk.csv([["Tag", "Match code"], [tag, "Z"]], "later.csv")
    desk.read(path)

    assert desk.card(tag).line.match_code == "N"
    desk.again(path)
    assert desk.fits()
