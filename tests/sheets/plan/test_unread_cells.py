"""A cell that cannot be read never refuses its row: it is kept as text under its header, and mended by a later read."""

from __future__ import annotations

from typing import Any

from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.plan.part_reader import FILLED
from inventory.store.words.nothing import nothing_in
from tests.sheets.conftest import Desk

HEAD = ["Bezeichnung", "Serien Nr", "Zustand", "Wert", "Eigentümer", "Fahrzeug", "Plombe", "gekauft am"]
ROW = ["Relais Typ 3", "71-1", "gut", "env. 80 €", "Huber", "Grüner", "ja", "vor 2010"]


def unread(desk: Desk) -> dict[str, str]:
    """The texts that stand on the card of the only part, by header."""
    return {fact.values["header"]: fact.values["text"] for fact in desk.card()["unread_cells"]}


def test_a_row_goes_in_with_all_that_cannot_be_read_in_it(desk: Desk) -> None:
    path = desk.csv([HEAD, ROW])

    assert desk.refused(path, strict=True).code == "rows-refused"
    report = desk.read(path)

    card = desk.card()
    assert (report.added, report.refused, len(report.unread)) == (1, 0, 7)
    assert unread(desk) == dict(zip([HEAD[0], *HEAD[2:]], [ROW[0], *ROW[2:]], strict=True))
    assert (card.line.kind, card.line.whose, card.line.serial) == ("other", "not known", "71-1")
    assert len(desk.read(path).unread) == 7
    desk.again(path)
    assert desk.fits()


def test_each_word_is_asked_about_once_and_the_answer_mends_what_went_in(desk: Desk) -> None:
    rows = [[*ROW], ["relais typ 3", "71-2", *ROW[2:]], [ROW[0], "", "2", *[""] * 5]]
    said = {"word/kind/relais typ 3": "relay", "word/condition/gut": "1", "word/whose/huber": "customer's"}
    path = desk.csv([HEAD, *rows])
    asked = {each.key: (len(each.rows), each.taken) for each in desk.read(path).questions}

    report = desk.read(path, said=said)

    assert asked["word/kind/relais typ 3"] == (3, "other")
    assert asked["word/condition/gut"] == (2, "text")
    assert asked.keys() == {*said, "word/car/grüner", "word/seal/ja"}  # texts with figures are each another one
    assert (report.added, report.changed) == (0, 3)
    assert {desk.card(tag).line.kind for tag in desk.tags()} == {"relay"}
    left = {fact.values["for_column"] for tag in desk.tags() for fact in desk.card(tag)["unread_cells"]}
    assert left == {"value", "car", "seal", "acquired on"}
    notes = [fact.values["text"] for tag in desk.tags() for fact in desk.card(tag)["notes"]]
    assert notes == ["Eigentümer: Huber"] * 2  # the answer does not say whose, so the name stays
    desk.again(path, said=said)
    assert desk.fits()


def test_a_customers_part_is_not_ours_and_a_cap_not_seen_is_not_asked_about(desk: Desk) -> None:
    head = ["Teil", "Serien-Nr.", "Kappe/Siegel", "Eigner", "Wert (EUR)"]
    path = desk.csv(
        [head, ["Druckfühler", "71-1", "?", "Kd. Maurer", "80"], ["Druckfühler", "71-2", "fehlt", "?", "90"]]
    )

    report = desk.read(path)

    cards = {card.line.serial: card.line for card in map(desk.card, desk.tags())}
    assert [(cards[each].whose, cards[each].seal_state) for each in ("71-1", "71-2")] == [
        ("not known", "not seen"),
        ("not known", "missing"),
    ]
    assert [each.key for each in report.questions] == ["word/whose/kd. maurer"]
    desk.again(path)
    assert desk.fits()


def test_what_the_whole_file_leaves_open_is_asked_once(desk: Desk) -> None:
    head = ["Type", "Serial", "Worth", "Paid", "Bought"]
    path = desk.csv([head, ["relay", "1", "80", "7.5 EUR", "3/4/2019"], ["relay", "2", "90", "1.50 EUR", "5/6/2019"]])
    asked = {each.key: len(each.rows) for each in desk.read(path, trial=True).questions}

    report = desk.read(path, currency="gbp", cell_format=CellFormat(dates="month-first"))

    assert asked == {"currency": 2, "dates": 2}
    assert (report.added, report.unread) == (2, [])
    values = [fact.values for tag in desk.tags() for fact in desk.card(tag)["values"]]
    assert {(each["amount"], each["currency"]) for each in values} == {("80", "GBP"), ("90", "GBP")}


def test_a_cell_that_is_emptied_or_written_anew_takes_the_text_back(desk: Desk) -> None:
    head = ["Type", "Serial", "Worth GBP", "Cond."]
    desk.read(desk.csv([head, ["relay", "1", "about 80", "so so"]]))
    again = desk.csv([head, ["relay", "1", "80", "fair"]], name="again.csv")

    report = desk.read(again)

    assert report.changed == 1
    assert unread(desk) == {"Cond.": "fair"}
    desk.read(desk.csv([head, ["relay", "1", "80", ""]]))
    assert unread(desk) == {}
    desk.read(desk.csv([["Type", "Serial"], ["relay", "1"]]))
    assert desk.fits()


def test_a_kind_that_somebody_set_stays_and_makes_no_second_part(desk: Desk) -> None:
    from inventory.facts.change import correct

    path = desk.csv([["Type", "Make"], ["thingummy 4", "Ostrell"]])
    desk.read(path)
    marking = desk.card()["markings"][0]
    with desk.record.write() as session:
        correct(session, "Ines", marking.id, {"kind": "relay"}, reason="I know it")

    desk.again(path)

    assert desk.card().line.kind == "relay"


def test_as_above_fills_from_the_row_above_and_never_what_tells_parts_apart(desk: Desk) -> None:
    head = ["Bezeichnung", "Hersteller", "Serien Nr", "Kennbuchstabe", "Wert EUR", "Regal"]
    rows = [
        ["Relais", "Ostrell", "1", "K", "80", "A1"], ['"', "dito", "2", "dito", "dito", "//"],
        ["wie oben", "", "3", "", "", "idem"],
    ]  # fmt: skip
    desk.read(desk.csv([head, *rows]))

    found = {desk.card(tag).line.serial: desk.card(tag) for tag in desk.tags()}

    assert {card.line.kind for card in found.values()} == {"relay"}
    assert [found[each].line.maker for each in "123"] == ["Ostrell", "Ostrell", None]
    assert [found[each].line.place for each in "123"] == ["A1", "A1", "A1"]
    assert [found[each].line.match_code for each in "123"] == ["K", None, None]
    assert [len(found[each]["values"]) for each in "123"] == [1, 0, 0]
    assert nothing_in("dito") == "as above"
    assert not FILLED & {"tag", "serial", "match code", "seal", "value", "price"}


def test_only_what_tells_which_part_it_is_refuses_a_row(desk: Desk) -> None:
    rows: list[list[Any]] = [
        ["tag", "kind", "maker", "position", "notes"],
        ["K4127-8", "relay", "Ostrell", "", ""],
        ["", "relay", "", "left wing", ""],
        ["", "", "Ostrell", "", "no lid"],
        ["", "", "", "", "a remark alone"],
        ["", "shelf 3", "", "", ""],
    ]

    refused = desk.refused(desk.csv(rows)).report

    assert [(each.row, each.column) for each in refused.problems] == [(2, "tag"), (4, "kind"), (5, "kind"), (6, "kind")]
    assert [(each.row, each.column) for each in refused.unread] == [(3, "position")]


def test_answers_are_kept_and_next_months_sheet_asks_nothing_again(desk: Desk) -> None:
    head = ["Teil", "Nr.", "Nr.", "Zustand", "Wert", "Lagerort"]
    rows = [["Relais 3", "HV 1", "71-1", "gut", "80", "A1"], ["Relais", "HV 2", "71-2", "Relais 3", "n/c", "A1"]]
    path = desk.csv([head, *rows])
    asked = {each.key for each in desk.refused(path).report.questions}
    said = {
        "nr.": "part number",
        "nr. (2)": "serial",
        "relais 3": "relay",
        "gut": "1",
        "currency": "EUR",
        "n/c": "none",
    }
    assert {"header/nr.", "header/nr. (2)", "word/condition/gut", "currency"} <= asked

    said["kind/relais 3"], said["condition/relais 3"] = said.pop("relais 3"), "text"
    tried = desk.read(path, said=said, trial=True)
    before = desk.entries()
    desk.read(path, said=said)
    newer = [[*head, "Farbe"], *([*row, ""] for row in rows), ["Relais 3", "HV 3", "71-3", "gut", "90", "A2", "rot"]]
    report = desk.read(desk.csv(newer, name="april.csv"))

    assert (tried.questions, before < desk.entries()) == ([], True)
    assert (report.added, report.changed, report.unchanged, report.questions) == (1, 0, 2, [])
    assert desk.fits()


def test_as_above_is_asked_about_once_the_rows_were_sorted(desk: Desk) -> None:
    head = ["Inv. Nr.", "kind", "serial", "place"]
    rows = [head, ["3", "relay", "C", "Shelf A"], ["1", "relay", "A", "Shelf B"], ["2", "relay", "B", "dito"]]
    path = desk.book(Teile=rows)

    (asked,) = desk.read(path, trial=True).questions
    assert (asked.key, asked.rows, asked.taken) == ("sorted/teile", (("Teile", 4),), "text")
    desk.read(path)
    assert sorted(desk.card(tag).line.place or "" for tag in desk.tags()) == ["", "Shelf A", "Shelf B"]
    assert desk.read(path, said={asked.key: "as above"}).changed == 1

    asks = desk.read(desk.book("written.xlsx", Teile=[head, *sorted(rows[1:])]), trial=True).questions
    assert asks == []
