"""Two parts in a row, so many of a kind in a row, and tabs that are versions of one list."""

from __future__ import annotations

from inventory.sheets.columns.layout import Answers, lay_out
from tests.sheets.columns.test_tables_in import keys, laid, rows_of, sheet

PAIRS = """
Pulled;Sensor No;Sensor SN;ECU No;ECU SN;Shelf;Price USD;Notes
2022;CV 204;7100;CV 310;4400;1;40;ran
2022;CV 204;7101;;none;1;40;
2022;CV 204;n/a;CV 310;4402;1;40;
"""


def test_two_parts_in_a_row_wait_for_the_answer_and_keep_what_the_row_says_of_the_other() -> None:
    (waiting,) = laid(PAIRS, name="parts").sheets
    assert waiting.waits is not None
    assert (waiting.waits.key, waiting.waits.taken) == ("pair/parts", "")

    found = laid(PAIRS, {"pair/parts": "two parts"}, "parts")
    sensors, units = found.sheets
    assert rows_of(found) == [[2, 3, 4], [2, 4]]
    row = units.rows[0].cells
    assert units.values(row) == {
        "kind": "control unit",
        "part number": "CV 310",
        "serial": "4400",
        "place": "1",
        "notes": "ran",
        "acquired on": "2022",
    }
    assert units.own_values(row) == {"Sensor No": "CV 204", "Sensor SN": "7100", "Price USD": "40"}
    assert sensors.values(sensors.rows[1].cells)["serial"] == "7101"
    assert sensors.source == units.source
    (one,) = laid(PAIRS, {"pair/parts": "one part"}, "parts").sheets
    assert (one.waits, len(one.rows)) == (None, 3)


def test_a_header_that_names_one_kind_makes_no_pair() -> None:
    assert not any(key.startswith("pair/") for key in keys(laid("Type;Sensor No;Serial;Shelf\nrelay;1;2;3")))


QUANTITIES = """
Type;Part No;Serial;Qty;Shelf;Colour
injector;51 220;;6;7;
relay;52;;0;7;
relay;52;3314;2;7;
grommet;10 x 18;;60;12;black
clip;5;;ca. 5;12;
relay;53;;1;7;
"""


def test_so_many_of_a_kind_are_so_many_parts_and_what_is_no_kind_is_asked() -> None:
    found = laid(QUANTITIES)

    (parts,) = found.sheets
    assert [row.number for row in parts.rows] == [2] * 6 + [4, 5, 6, 7]
    own = {row.number: parts.own_values(row.cells).get("Qty") for row in parts.rows}
    assert own == {2: None, 4: "2", 5: "60", 6: "ca. 5", 7: None}
    assert [(each.key, each.taken, len(each.rows)) for each in found.questions] == [
        ("quantity/lager/kinds", "parts", 1),
        ("quantity/lager/grommet", "text", 1),
    ]
    (none,) = found.remarks
    assert "row 3" in none


def test_one_line_of_a_kind_is_hardware_at_its_place() -> None:
    said = {"quantity/lager/grommet": "one line", "quantity/lager/kinds": "text"}
    found = laid(QUANTITIES, said)

    parts, hardware = found.sheets
    assert ([row.number for row in parts.rows], hardware.kind.name) == ([2, 4, 6, 7], "hardware")
    (row,) = hardware.rows
    assert hardware.values(row.cells) == {"place": "12", "spec": "grommet 10 x 18", "count": "60"}
    assert any('"black"' in remark for remark in found.remarks)


def test_of_tabs_that_are_versions_of_one_list_the_newest_is_read() -> None:
    older, newer = "Type;P/N;Serial\nrelay;12;1\nrelay;12;2\nrelay;12;3", "Type;P/N;Serial\nrelay;12;2\nrelay;12;3"
    other = "Type;P/N;Serial\nrelay;99;8\nrelay;99;9"
    tabs = [sheet(older, "2017"), sheet(other, "2018"), sheet(newer, "2019")]

    found = lay_out(tabs, Answers())
    assert [each.name for each in found.sheets] == ["2018", "2019"]
    assert [(each.key, each.taken) for each in found.questions if each.key.startswith("tab/")] == [
        ("tab/2017", "left out")
    ]
    assert "day/2017" not in keys(found)
    assert len(lay_out(tabs, Answers(said={"tab/2017": "read"})).sheets) == 3
