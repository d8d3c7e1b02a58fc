"""Hardware as people write it: read the same however it is written, and never taken for something else."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.hardware.parse import items, parse
from inventory.hardware.rubber import cure_code, quarters_in
from inventory.store.days.dates import parse_when

READ = {
    # as written: (count, in one way of writing, length in mm)
    "3x M6x20 hex A2": (3, "M6x20 hex A2", 20.0),
    "3 x M 6 × 20 Sechskant, Edelstahl A2": (3, "M6x20 hex A2 stainless", 20.0),
    "M5 x 0.8 x 12 slotted pan": (None, "M5x12 pan slotted", 12.0),
    "2x M5x0,8x12 Zylinderkopf Schlitz": (2, "M5x12 cheese slotted", 12.0),
    "M8x1x20 10.9": (None, "M8x1x20 10.9", 20.0),
    "M8x1 nut": (None, "nut M8x1", None),
    "M6x20 Innensechskant Zylinderkopf 8.8 verzinkt": (None, "M6x20 cap hex socket 8.8 zinc plated", 20.0),
    "No.10-32 x 1/2 in": (None, "No. 10-32 UNF x 1/2 in", 12.7),
    '2x #10-32 x ½"': (2, "No. 10-32 UNF x 1/2 in", 12.7),
    "1/4-28 UNF x 3/4": (None, "1/4-28 UNF x 3/4 in", 19.05),
    "1/4 UNC x 1 1/4": (None, "1/4-20 UNC x 1 1/4 in", 31.75),
    "sheet-metal No. 12": (None, "sheet-metal screw ST5.5", None),
    "ST5.5 x 19": (None, "sheet-metal screw ST5.5x19", 19.0),
    "Blechschraube 4,2 x 13": (None, "sheet-metal screw ST4.2x13", 13.0),
    "No. 8 x 1/2 in self-tapping": (None, "sheet-metal screw ST4.2x1/2 in", 12.7),
    "3x grommet 10 x 18 x 8": (3, "grommet 10 x 18 x 8", None),
    "Tülle 10x18x8 Nut 14 x 2 NBR": (None, "grommet 10 x 18 x 8 groove 14 x 2 NBR", None),
    "vacuum hose 4 mm": (None, "vacuum hose 4 mm", None),
    "Kraftstoffschlauch 7,5 x 13": (None, "fuel hose 7.5 x 13", None),
    "fuel hose 5/16 in": (None, "fuel hose 7.9 mm", None),
    "2x hose clip 8-12": (2, "hose clip 8-12", None),
}


@pytest.mark.parametrize(("written", "read"), READ.items())
def test_it_is_read_however_it_is_written(written: str, read: tuple[int | None, str, float | None]) -> None:
    item = parse(written)
    length = None if item.length_mm is None else round(item.length_mm, 6)
    assert (item.understood, item.count, item.spec, length) == (True, *read)
    again = parse(item.spec)
    assert (again.spec, again.length_mm) == (item.spec, item.length_mm)


DOUBTFUL = {
    "No. 12 x 1/2": "sheet-metal, or a machine screw",
    "M5x0.9x12": "pitch 0.9",
    "M9x20": "M9",
    "1/4-27 x 1/2": "1/4-27",
    "2 BA x 1/2": "not understood",
    "4-pin plug": "not understood",
    "grommet 10 x 18 x 8": "measure the groove",
    "grommet 18 x 10 x 8": "inner is not smaller",
    "M6x20 hex magic": '"magic"',
}


@pytest.mark.parametrize(("written", "says"), DOUBTFUL.items())
def test_what_is_doubtful_is_kept_as_written_and_flagged(written: str, says: str) -> None:
    item = parse(written)
    assert item.written == written
    assert any(says in flag for flag in item.flags)


def test_a_sheet_metal_screw_is_never_a_machine_screw() -> None:
    written = ("sheet-metal No. 12", "ST5.5 x 13", "No. 12 self-tapping", "Blechschraube 5,5 x 13")
    assert {parse(each).thread for each in written} == {"ST5.5"}
    assert parse("12-24 x 1/2").thread == "No. 12-24 UNC"
    assert parse("No. 12 x 1/2").thread == ""


def test_washers_and_what_is_lost_are_things_of_their_own() -> None:
    read = items("3x M6x20 hex with spring washer and washer, 1 lost; 2x M5x12, sheared")
    assert [(item.spec, item.count, item.state) for item in read] == [
        ("M6x20 hex", 3, ""),
        ("spring washer M6", 3, ""),
        ("washer M6", 3, ""),
        ("M6x20 hex", 1, "lost"),
        ("M5x12", 2, ""),
        ("M5x12", 2, "broken"),
    ]


@settings(max_examples=50, deadline=None)
@given(st.text(max_size=40))
def test_any_text_is_kept(text: str) -> None:
    assert parse(text).written == " ".join(text.split())
    items(text)


def test_a_cure_code_is_a_quarter() -> None:
    """ISO 2230: July to September 1994 is 3/94; a quarter in EDTF is 33 to 36."""
    assert cure_code("3/94") == "1994-35"
    assert {cure_code(each) for each in ("2025-Q3", "Q3 2025", "3/25", "3/2025", "2025-35")} == {"2025-35"}
    assert {cure_code(each) for each in ("5/94", "13/94", "1994", "3/941", "1/4-28 UNF")} == {""}
    when = parse_when(cure_code("3/94"))
    assert (when.earliest.isoformat(), when.latest.isoformat()) == ("1994-07-01", "1994-09-30")
    assert quarters_in("zinc primer, 2025-Q3; hose 1/24") == ["2024-33", "2025-35"]


def test_a_run_of_blanks_is_one_blank_however_long() -> None:
    assert items("M6x20" + " " * 200_000 + "hex ;" + " " * 200_000 + "1 lost") == items("M6x20 hex ; 1 lost")
