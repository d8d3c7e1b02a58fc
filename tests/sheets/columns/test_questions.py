"""What a sheet leaves open: how a question and its answer are named, and which headers need none."""

from __future__ import annotations

import pytest

from inventory.cli.asking import ask_about_sheet
from inventory.errors import Misused
from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.columns.header_cells import settled_by_cells
from inventory.sheets.columns.header_match import read_headings
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.questions import Choice, SheetQuestion, answers_meant
from inventory.sheets.readers.tables import Row

KIND = SheetQuestion(
    "word/kind/relais 3", "", (Choice("relay", "relay"), Choice("other", "other")), (), "other", "kind"
)
PRICE = SheetQuestion("word/price/n c", "", (Choice("not known", "not known"), Choice("text", "keep as text")))


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ({"1": "relay"}, {KIND.key: "relay"}),
        ({"Relais 3": "Injector"}, {KIND.key: "Injector"}),
        ({"n/c": "Keep as text"}, {PRICE.key: "text"}),
        ({"word/price/n c": "text", "word/kind/of last month": "relay", "currency": "EUR"}, None),
    ],
)
def test_an_answer_is_found_by_number_key_or_end_of_the_key(typed: dict[str, str], meant: dict[str, str]) -> None:
    assert answers_meant(typed, [KIND, PRICE]) == (meant or typed)


@pytest.mark.parametrize(("typed", "code"), [({"3": "x"}, "no-such-question"), ({"2": "perhaps"}, "no-such-answer")])
def test_what_is_no_question_or_no_answer_is_refused(typed: dict[str, str], code: str) -> None:
    with pytest.raises(Misused) as caught:
        answers_meant(typed, [KIND, PRICE])

    assert caught.value.code == code


def test_at_a_terminal_enter_takes_what_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    typed = iter(["", "9", "2"])
    monkeypatch.setattr("click.prompt", lambda *_, **__: next(typed))

    assert ask_about_sheet([KIND, PRICE]) == {KIND.key: "other", PRICE.key: "text"}


@pytest.mark.parametrize(("typed", "category"), [("2", "2"), ("0", "0"), ("category 3", "3")])
def test_where_answers_are_digits_a_digit_is_the_answer_and_not_its_number(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], typed: str, category: str
) -> None:
    choices = (*(Choice(each, f"category {each}") for each in "0123"), Choice("text", "keep as text"))
    worn = SheetQuestion("word/condition/gut", "", choices, (), "text", "condition")
    monkeypatch.setattr("click.prompt", lambda *_, **__: typed)

    assert ask_about_sheet([worn]) == {worn.key: category}
    assert "  1  category 0" not in capsys.readouterr().err  # a number beside it would say otherwise


def sheet(headers: list[str], *rows: list[str], mapping: dict[str, str] | None = None) -> list[str | None]:
    """The columns of headers over some rows; "tag?" is a doubtful one."""
    layout = SheetLayout(
        PARTS, "x", read_headings(headers, PARTS, mapping or {}), [Row(n, row) for n, row in enumerate(rows, 2)]
    )
    found = settled_by_cells(layout, mapping or {}, {"relay", "injector"}).headings
    return [each.column or (each.doubt and f"{each.doubt}?") for each in found]


def test_the_cells_settle_what_a_header_leaves_open() -> None:
    assert sheet(["Teil", "Nr."], ["Relais", "1"], ["Drosselzeug", "2"]) == ["kind", "part number?"]
    assert sheet(["Teil", "Nr."], ["HV 1", "1"], ["HV 2", "2"]) == ["kind?", "part number?"]
    assert sheet(["Item", "Description"], ["1", "injector"], ["2", "relay"]) == ["kind?", "kind"]
    assert sheet(["Tag", "kind"], ["14.3.2019", "relay"], ["2.4.19", "relay"]) == ["acquired on?", "kind"]
    assert sheet(["Tag", "kind"], ["K4127-7", "relay"]) == ["tag", "kind"]


def test_a_second_header_of_one_name_is_answered_for_itself() -> None:
    headers = ["Type", "Number", "Number"]

    assert sheet(headers, mapping={"number2": "extra"}) == ["kind", "part number?", None]
    assert sheet(headers, mapping={"number": "serial", "number2": "part number"}) == ["kind", "serial", "part number"]


@pytest.mark.parametrize(
    "header", ["PO number", "Kundennummer", "Fahrgestellnr.", "Verkaufspreis", "VK", "Prix demandé", "Prezzo richiesto"]
)
def test_numbers_and_prices_that_are_none_of_ours_are_not_asked_about(header: str) -> None:
    assert sheet([header]) == [None]


@pytest.mark.parametrize(
    ("header", "column", "currency"),
    [
        ("Est. Value (EUR)", "value", "EUR"), ("Preis in €", "price", "EUR"), ("Wert heute [CHF]", "value", "CHF"),
        ("Value ($)", "value", "$"), ("Price in $", "price", "$"), ("Price (kr)", "price", "kr"), ("Wert US$", "value", "USD"),
        ("Purchased", "acquired on", None), ("Fabr.-Nr.", "serial", None), ("Zustand 1-6", None, None),
    ],
)  # fmt: skip
def test_a_currency_in_a_header_belongs_to_its_column(header: str, column: str | None, currency: str | None) -> None:
    (heading,) = read_headings([header], PARTS, {})

    assert (heading.column, heading.currency) == (column, currency)
