"""Several tables on one sheet: each with its own head, unknown ones asked about, titles that are no parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.sheets.columns.layout import Answers, LaidOut, lay_out
from inventory.sheets.readers.tables import Row, Table

PARTS = (
    ["Type", "Part No", "Serial", "Shelf", "Colour"],
    ["Bauteil", "Teilenummer", "Hersteller", "Lagerort"],
    ["Type pièce", "N° de série", "Emplacement"],
)
UNKNOWN = (["Article", "Débit", "Pression"], ["Düse", "Durchfluss"], ["Nozzle", "Flow", "Swirl", "Rim"])
OTHERS = (["Car", "Order", "Position", "Axis"], ["Place", "Spec", "Count"])


def sheet(text: str, name: str = "Lager") -> Table:
    """A sheet from lines with semicolons between cells; empty lines are left out, as readers leave them out."""
    lines = ([cell.strip() for cell in line.split(";")] for line in text.strip("\n").splitlines())
    return Table(name, [Row(number, _stripped(cells)) for number, cells in enumerate(lines, 1) if any(cells)])


def _stripped(cells: list[str]) -> list[str]:
    while cells and not cells[-1]:
        cells.pop()
    return cells


def laid(text: str, said: Mapping[str, str] | None = None, name: str = "Lager") -> LaidOut:
    return lay_out([sheet(text, name)], Answers(said=said or {}))


def rows_of(found: LaidOut) -> list[list[int]]:
    return [[row.number for row in each.rows] for each in found.sheets]


def keys(found: LaidOut) -> list[str]:
    return [question.key for question in found.questions]


PRICES_BESIDE = """
Typ;Teilenummer;Ort;;Preisliste 2019
Relais;0 332 003;Regal 3;;Artikel;Preis
Relais;0 332 004;Regal 3;;Dichtung A;12,50
Relais;0 332 005;Regal 3;;Dichtung B;13,50
"""
FLOWS_BELOW = """
Typ;Seriennummer;Ort
Einspritzventil;71-1;Kiste 2
Einspritzventil;71-2;Kiste 2

Farbe;Durchfluss
blau;185
grün;190
"""


@pytest.mark.parametrize(
    ("text", "key", "rows"),
    [
        (PRICES_BESIDE, "table/artikel, preis", [2, 3, 4]),
        (FLOWS_BELOW, "table/farbe, durchfluss", [2, 3]),
    ],
)
def test_a_table_of_something_else_is_shown_and_never_read_under_the_head_beside_or_above(
    text: str, key: str, rows: list[int]
) -> None:
    found = laid(text)

    assert rows_of(found) == [rows]
    assert all(not found.sheets[0].own_values(row.cells) for row in found.sheets[0].rows)
    (question,) = found.questions
    assert (question.key, question.taken, len(question.rows), len(question.shown)) == (key, "left out", 2, 2)
    read = laid(text, {key: "read"})
    assert len(read.sheets) == 2
    assert read.sheets[1].own_values(read.sheets[1].rows[0].cells) or read.sheets[1].values(
        read.sheets[1].rows[0].cells
    )


def test_a_list_beside_with_a_title_of_its_own_is_no_column_of_the_parts() -> None:
    found = laid("Typ;Nr;Ort;;Merkzettel\nRelais;1;A;;Was;Wo\nRelais;2;B;;Leiter;Keller\nRelais;3;C;;Haken;Tor")

    (parts,) = found.sheets
    assert [parts.own_values(row.cells).keys() - {"Nr"} for row in parts.rows] == [set()] * 3
    assert keys(found) == ["table/was, wo"]


def test_a_price_list_in_each_years_tab_is_asked_about_once_also_in_next_years() -> None:
    tabs = [sheet(PRICES_BESIDE, year) for year in ("2019", "2021")]

    (question,) = [each for each in lay_out(tabs, Answers()).questions if each.key.startswith("table/")]
    assert {tab for tab, _ in question.rows} == {"2019", "2021"}
    said = {question.key: "left out"}
    later = lay_out([*tabs, sheet(PRICES_BESIDE, "2022")], Answers(said=said))
    assert [each.key for each in later.questions if each.key.startswith("table/") and each.key not in said] == []


def test_a_total_that_is_not_read_is_told() -> None:
    found = laid("Typ;Nr;Ort;Preis\nRelais;1;A;5\nRelais;2;B;6\nSumme;;;11")

    assert rows_of(found) == [[2, 3]]
    assert found.remarks == ["Lager, row 4: taken for a total, so not read"]


def test_a_head_repeated_to_the_right_begins_another_list_of_parts() -> None:
    found = laid("Type;P/N;Shelf;Type;P/N;Shelf\nrelay;12-R4;A;injector;280 1;B\nrelay;12-R5;A")

    assert [[each.values(row.cells)["part number"] for row in each.rows] for each in found.sheets] == [
        ["12-R4", "12-R5"],
        ["280 1"],
    ]
    assert [heading.header for heading in found.sheets[1].headings if heading.header] == ["Type", "P/N", "Shelf"]


def test_an_empty_column_within_a_table_divides_nothing() -> None:
    found = laid("Type;P/N;;Shelf;Serial\nrelay;12-R4;;A;1\nrelay;12-R5;;A;2\nrelay;12-R6;;;3")

    assert rows_of(found) == [[2, 3, 4]]
    assert found.sheets[0].values(found.sheets[0].rows[1].cells) == {
        "kind": "relay",
        "part number": "12-R5",
        "place": "A",
        "serial": "2",
    }


def test_the_first_head_again_after_another_table_is_its_own_again() -> None:
    found = laid("Type;P/N\nrelay;1\n\nCar;Order;Position\nGreen tourer;1;left\n\nType;P/N\nrelay;2")

    assert [each.kind.name for each in found.sheets] == ["parts", "positions", "parts"]
    assert rows_of(found) == [[2], [5], [8]]


SECTIONS = """
Regal 1
Nr;Hersteller;Wert EUR
Relais
0 332 003;Tolvranne;20
0 332 004;Tolvranne;20

Einspritzventile
0 280 150;Ostrell;40
Regal 2
0 280 151;Ostrell;40
"""


def test_titles_are_no_parts_and_give_kind_and_place_only_when_the_user_says_so() -> None:
    open_ = laid(SECTIONS)
    assert rows_of(open_) == [[4, 5, 8, 10]]
    assert not any("kind" in each.columns for each in open_.sheets)
    assert [(each.key, each.taken) for each in open_.questions] == [
        ("title/lager/kinds", "nothing"),
        ("title/lager/others", "nothing"),
    ]

    said = {"title/lager/kinds": "kind", "title/lager/others": "place"}
    found = laid(SECTIONS, said)
    (parts,) = found.sheets
    given = [(parts.values(row.cells).get("kind"), parts.values(row.cells).get("place")) for row in parts.rows]
    assert given == [("relay", None), ("relay", None), ("injector", None), (None, "Regal 2")]
    assert set(keys(found)) <= {*said, "kind/lager"}


def test_a_shelf_over_several_kinds_holds_until_the_next_shelf() -> None:
    text = (
        "Nr;Hersteller\nRegal C\nRelais\n1;Ostrell\nEinspritzventile\n2;Ostrell\nRegal D\n3;Ostrell\nRelais\n4;Ostrell"
    )

    (parts,) = laid(text, {"title/lager/kinds": "kind", "title/lager/others": "place"}).sheets

    given = [(parts.values(row.cells)["place"], parts.values(row.cells).get("kind")) for row in parts.rows]
    assert given == [("Regal C", "relay"), ("Regal C", "injector"), ("Regal D", None), ("Regal D", "relay")]


def test_titles_one_by_one_and_a_cell_of_the_row_itself_first() -> None:
    text = "Type;P/N;Shelf\nNicht vergessen!\nrelay;1;\nKiste 7\nrelay;2;\nrelay;3;Regal 9"
    said = {"title/lager/others": "one by one", "title/lager/kiste 7": "place"}

    found = laid(text, said)

    (parts,) = found.sheets
    assert [parts.values(row.cells).get("place") for row in parts.rows] == [None, "Kiste 7", "Regal 9"]
    assert "title/lager/nicht vergessen!" in keys(found)


@pytest.mark.parametrize(
    ("name", "kind"),
    [("Steuergeräte", "control unit"), ("injecteurs", "injector"), ("iniettori", "injector"), ("Relays", "relay")],
)
def test_a_tab_that_names_a_kind_offers_it_for_a_table_without_one(name: str, kind: str) -> None:
    text = "Part No;Serial\n12-R4;1\n12-R4;2"
    found = laid(text, name=name)
    (question,) = found.questions

    assert (question.choices[0].key, question.taken, question.typed) == (kind, "other", "kind")
    (parts,) = laid(text, {question.key: kind}, name).sheets
    assert [parts.values(row.cells)["kind"] for row in parts.rows] == [kind, kind]


@pytest.mark.parametrize(
    ("title", "name", "day"),
    [
        ("Stand 3/2021", "Lager", "2021-03"),
        ("Stand: 03.02.26", "Lager", "2026-02-03"),
        ("Stand: 03.02.99", "Lager", "1999-02-03"),
        ("Regal 3.2.26", "Lager", ""),
        ("Meine Relais, Stand 3/2021", "Lager", "2021-03"),
        ("gekauft am 3.4.2021", "Lager", ""),
        ("Teileliste", "2019", "2019"),
        ("Inventaire au 12.03.2018", "x", "2018-03-12"),
        ("Tourer 1972", "Orsel 1974", ""),
        ("Stand 2999", "x", ""),
    ],
)
def test_a_tab_or_title_says_up_to_which_day_the_list_was_kept(title: str, name: str, day: str) -> None:
    text = f"{title}\n\nType;P/N\nrelay;1"
    found = laid(text, name=name)

    assert found.sheets[0].kept_up_to == day
    asked = [question.taken for question in found.questions if question.key.startswith("day/")]
    assert asked == [day] * (day == name)
    assert bool(found.remarks) == (bool(day) and not asked)
    assert laid("Type;P/N\nrelay;1", {f"day/{name.casefold()}": "nothing"}, name).sheets[0].kept_up_to == ""


@st.composite
def made(draw: st.DrawFn) -> tuple[Table, dict[str, str]]:
    """A sheet of up to four tables beside and below each other, and for each cell of data the head of its column."""
    grid: dict[tuple[int, int], str] = {}
    owner: dict[str, str] = {}
    top, number = 1, 0
    for _ in range(draw(st.integers(1, 2))):
        left, height = 0, 0
        heads = draw(st.lists(st.sampled_from(PARTS + UNKNOWN + OTHERS), min_size=1, max_size=2, unique_by=tuple))
        if number == 0:
            heads[0] = draw(st.sampled_from(PARTS))
        for head in heads:
            first = top + draw(st.integers(0, 2)) * (left > 0)
            rows = draw(st.integers(3, 5)) if first > top or not left else height + 2
            for column, cell in enumerate(head):
                grid[first, left + column] = cell
            for row in range(1, rows + 1):
                for column in range(len(head)):
                    text = f"{number}{row}{column} {1000 + len(owner)}"
                    grid[first + row, left + column], owner[text] = text, " ".join(head)
            left += len(head) + 1
            height = max(height, first + rows - top)
            number += 1
        top += height + 2
    width = max(column for _, column in grid) + 1
    rows_: Sequence[Row] = [
        Row(at, _stripped([grid.get((at, column), "") for column in range(width)])) for at in range(1, top)
    ]
    return Table("made", [row for row in rows_ if row.cells]), owner


@settings(max_examples=30, deadline=None)
@given(made())
def test_no_cell_is_read_under_the_head_of_another_table(pair: tuple[Table, dict[str, str]]) -> None:
    table, owner = pair

    found = lay_out([table], Answers())

    for each in found.sheets:
        heads_of = {owner[cell] for row in each.rows for cell in row.cells if cell}
        assert heads_of <= {" ".join(filter(None, each.header[0]))}
        assert not any(name.startswith("column ") for row in each.rows for name in each.own_values(row.cells))
    left_out = {row for question in found.questions if question.key.startswith("table/") for row in question.rows}
    read = {("made", row.number) for each in found.sheets for row in each.rows}
    heads = {row.number for row in table.rows if not any(cell in owner for cell in row.cells)}
    assert {row.number for row in table.rows} - heads <= {number for _, number in read | left_out}
