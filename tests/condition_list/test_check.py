"""A list that left the house is checked: with the record, without it, and when somebody changed it."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader, PdfWriter
from sqlalchemy import update

from inventory.checking.actions import check_list
from inventory.checking.write_spot import draw_spot, note_spot
from inventory.condition_list.actions import FOR_INSURER, give_out
from inventory.condition_list.queries import CONDITION_LIST
from inventory.condition_list.write_pdf import EMBEDDED, list_paper
from inventory.errors import Refused
from inventory.facts.change import correct
from inventory.facts.redact import redact
from inventory.given_out.actions import given
from inventory.parts import actions as parts
from inventory.record.actions import moments_between, state_wrong
from inventory.record.write_limits import take_limits
from inventory.store.days import clock
from inventory.valuation.actions import note_value
from inventory.valuation.tables import Valuation
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop, day

DAY = "2026-03-30"


@pytest.mark.parametrize("ending", ["xlsx", "csv", "json", "pdf"])
def test_a_list_fits_without_the_record_and_with_it_months_later(
    workshop: Workshop, on_day: OnDay, tmp_path: Path, ending: str
) -> None:
    path = tmp_path / f"a.{ending}"
    drawn = give_out(workshop.record, BY, path, as_of=day(DAY), options=FOR_INSURER)
    on_day("2026-09-01")
    with workshop.record.write() as session:
        parts.note(session, BY, workshop.tags["ours"], "heard a rattle", on="2026-03-02")

    alone = check_list(None, path, drawn.fingerprint_shown)
    assert alone.fits, alone.says
    assert not check_list(None, path, "0" * 64).fits
    found = check_list(workshop.record, path)
    assert found.fits, found.says
    assert (found.known, found.number, found.fingerprint) == (True, 1, drawn.fingerprint)
    assert found.cells == found.judgements == found.facts == ()


def test_one_cell_changed_in_a_copy_is_found(workshop: Workshop, tmp_path: Path) -> None:
    tag = workshop.tags["ours"]
    drawn = give_out(workshop.record, BY, tmp_path / "a.xlsx", as_of=day(DAY))
    book = load_workbook(tmp_path / "a.xlsx")
    book.save(tmp_path / "again.xlsx")  # other bytes, the same cells
    sheet = book["Items"]
    titles = [cell.value for cell in sheet[1]]
    (row,) = [row for row in sheet.iter_rows(min_row=2) if row[1].value == tag]
    value = row[titles.index("Value")]
    value.value = 950
    book.save(tmp_path / "dearer.xlsx")
    value.value = "=800+50"
    book.save(tmp_path / "formula.xlsx")

    assert check_list(workshop.record, tmp_path / "again.xlsx").fits
    changed = check_list(workshop.record, tmp_path / "dearer.xlsx")
    assert not changed.fits
    assert changed.altered == ("Items",)
    assert [(each.tag, each.column, each.file, each.drawn) for each in changed.cells] == [(tag, "Value", "950", "850")]
    alone = check_list(None, tmp_path / "dearer.xlsx", drawn.fingerprint)
    assert (alone.fits, alone.altered) == (False, ("Items",))
    assert any("formula" in each for each in check_list(None, tmp_path / "formula.xlsx", drawn.fingerprint).altered)

    give_out(workshop.record, BY, tmp_path / "a.json", as_of=day(DAY))
    content = json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))
    content["items"][0]["serial"] = "other"
    (tmp_path / "b.json").write_text(json.dumps(content), encoding="utf-8")
    assert check_list(None, tmp_path / "b.json", drawn.fingerprint).altered == ("Content",)
    content["check"]["Content"] = "0" * 64
    (tmp_path / "b.json").write_text(json.dumps(content), encoding="utf-8")
    assert not check_list(workshop.record, tmp_path / "b.json").fits


def test_a_front_that_was_changed_is_found(file_workshop: Workshop, tmp_path: Path) -> None:
    drawn = give_out(file_workshop.record, BY, tmp_path / "a.xlsx", as_of=day(DAY))
    for label, text, table in (("Policy", "other", "Front"), ("EUR counted", 9999, "Sums of the front")):
        book = load_workbook(tmp_path / "a.xlsx", data_only=True)
        (row,) = [row for row in book["Front"].iter_rows() if row[0].value == label]
        row[1].value = text
        book.save(tmp_path / "b.xlsx")

        alone = check_list(None, tmp_path / "b.xlsx", drawn.fingerprint)
        assert (alone.fits, alone.altered) == (False, (table,))
        (told,) = check_list(file_workshop.record, tmp_path / "b.xlsx").cells
        assert (told.table, told.tag, told.file) == (table, label, str(text))


def test_what_was_recorded_later_that_day_is_named(
    workshop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hours = [clock.now() + timedelta(hours=hour) for hour in (1, 2)]
    monkeypatch.setattr(clock, "now", lambda: hours[0])
    give_out(workshop.record, BY, tmp_path / "a.csv")
    (look,) = workshop.item("ours", workshop.drawn()).seals
    monkeypatch.setattr(clock, "now", lambda: hours[1])
    with workshop.record.write() as session:
        corrected = correct(session, BY, look.when.fact, {"state": "missing"}, "misread")

    found = check_list(workshop.record, tmp_path / "a.csv")
    assert (found.fits, found.altered) == (False, ())
    assert {each.split()[0] for each in found.facts} == {look.when.fact, corrected}


def test_another_edition_of_the_reference_data_is_named_as_a_judgement(workshop: Workshop, tmp_path: Path) -> None:
    give_out(workshop.record, BY, tmp_path / "a.xlsx")
    own = tmp_path / "own.toml"
    own.write_text('[[seals]]\nnumber = "HV 204 118"\nseals = ["cap"]\nsource = "our own"\n')
    with workshop.record.write() as session:
        take_limits(session, BY, own)

    found = check_list(workshop.record, tmp_path / "a.xlsx")
    assert found.fits, found.says
    assert found.cells == ()
    assert {each.table for each in found.judgements} == {"Front", "Gaps"}
    assert any("edition of the reference data" in each for each in found.says)


def test_a_list_of_before_words_were_removed_still_fits_and_says_so(
    workshop: Workshop, on_day: OnDay, tmp_path: Path
) -> None:
    with workshop.record.write() as session:
        said = {"source": "Edda Korn, by telephone", "on": "2026-03-02"}
        noted = note_value(session, BY, workshop.tags["ours"], "900", "EUR", **said)
    on_day("2026-04-01")
    path = tmp_path / "a.pdf"
    give_out(workshop.record, BY, path)
    on_day("2026-04-02")
    with workshop.record.write() as session:
        redact(session, BY, noted, "she asked", words="Edda Korn")

    found = check_list(workshop.record, path)
    assert found.fits, found.says
    assert any("Words were removed for good from 1 entry since" in each for each in found.says)
    with workshop.record.read() as session, session.get_bind().engine.begin() as plain:
        plain.execute(update(Valuation).values(amount="9999"))  # past the program: no removal explains it
    assert not check_list(workshop.record, path).fits


def test_a_list_that_a_fast_clock_wrote_is_checked_and_the_next_one_is_drawn(
    workshop: Workshop, on_day: OnDay, tmp_path: Path
) -> None:
    on_day("2031-05-04")
    early = give_out(workshop.record, BY, tmp_path / "a.csv", options=FOR_INSURER)
    given(workshop.record, BY, CONDITION_LIST, early.number, "Halmer Insurance")
    on_day("2026-04-01")
    with workshop.record.write() as session:
        state_wrong(session, BY, moments_between(session, None, None), "the battery was flat", true_day="2026-04-01")

    found = check_list(workshop.record, tmp_path / "a.csv")
    assert found.fits and found.known, found.says
    assert any("It is of 2031-05-04, and today is 2026-04-01" in each for each in found.says)
    drawn = give_out(workshop.record, BY, tmp_path / "b.csv", options=FOR_INSURER)
    assert drawn.changes is not None and "a clock was wrong" in drawn.changes.note
    with workshop.record.read() as session:
        assert len(draw_spot(session, "1", 3, 7).lines) == 3


def test_files_that_cannot_be_checked_end_in_a_sentence(file_workshop: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    give_out(file_workshop.record, BY, path)
    old = {name: value for name, value in json.loads(path.read_text(encoding="utf-8")).items() if name != "check"}
    for name, text in (("old.json", json.dumps(old)), ("other.csv", "kind\nrelay\n"), ("deep.json", "{" + "[" * 9999)):
        (tmp_path / name).write_text(text, encoding="utf-8")
        with pytest.raises(Refused) as refusal:
            check_list(None, tmp_path / name, "0" * 64)
        assert refusal.value.code == "list-not-checkable"
    with pytest.raises(Refused) as refusal:
        check_list(None, path, "12 34")
    assert refusal.value.code == "not-a-fingerprint"


def test_a_hidden_row_is_told_and_a_row_that_is_gone_is_found(file_workshop: Workshop, tmp_path: Path) -> None:
    drawn = give_out(file_workshop.record, BY, tmp_path / "a.xlsx")
    book = load_workbook(tmp_path / "a.xlsx")
    book["Items"].row_dimensions[3].hidden = True
    book.save(tmp_path / "hidden.xlsx")
    book["Items"].delete_rows(3)
    book.save(tmp_path / "gone.xlsx")
    shutil.copy(tmp_path / "a.xlsx", tmp_path / "copy.xlsx")

    hidden = check_list(file_workshop.record, tmp_path / "hidden.xlsx")
    assert hidden.fits
    assert any("hidden" in each for each in hidden.notes)
    assert check_list(None, tmp_path / "gone.xlsx", drawn.fingerprint).altered == ("Items",)
    (gone,) = check_list(file_workshop.record, tmp_path / "gone.xlsx").cells
    assert (gone.tag, gone.column, gone.file) == (drawn.items[1].tag, "row", "none")


def test_a_random_check_is_drawn_again_by_its_seed_and_kept(workshop: Workshop, tmp_path: Path) -> None:
    give_out(workshop.record, BY, tmp_path / "a.csv")
    with workshop.record.read() as session:
        by_number, by_file = (draw_spot(session, named, 3, 7) for named in ("1", str(tmp_path / "a.csv")))
        whole = draw_spot(session, "1", 99, 7)
    assert by_number == by_file
    assert len(by_number.lines) == 3
    assert {line.tag for line in whole.lines} == {item.tag for item in workshop.drawn().items}
    assert {line.place for line in whole.lines if line.tag == workshop.tags["ours"]} == {"shelf B2"}

    with workshop.record.write() as session:
        found = {workshop.tags["ours"]: "here", workshop.tags["unit"]: "not here"}
        assert len(note_spot(session, BY, 1, found)) == 2
    seen = workshop.item("ours", workshop.drawn()).last_seen
    assert seen is not None
    assert (seen.how, seen.when.on) == ("counted", "2026-03-31")
    with workshop.record.read() as session, pytest.raises(Refused) as refusal:
        draw_spot(session, "1", 0, 7)
    assert refusal.value.code == "count-too-small"


def test_a_page_that_was_changed_while_the_data_was_not_is_found(workshop: Workshop, tmp_path: Path) -> None:
    drawn = give_out(workshop.record, BY, tmp_path / "a.pdf")
    forged = replace(drawn.items[0], holder="customer Z")
    paper = list_paper(replace(drawn, items=(forged, *drawn.items[1:])))
    writer = PdfWriter(clone_from=PdfReader(BytesIO(paper.content())))
    del writer._root_object["/Names"]
    writer.add_attachment(EMBEDDED, json.dumps(drawn.as_dict()).encode())
    writer.write(tmp_path / "b.pdf")

    for record in (workshop.record, None):
        found = check_list(record, tmp_path / "b.pdf", drawn.fingerprint)
        assert not found.fits
        assert any("pages" in each for each in found.altered)
