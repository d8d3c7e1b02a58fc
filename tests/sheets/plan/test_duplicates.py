"""Serials that a worn stamp makes look alike are flagged, whether the other stands on record or in the same file."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tests.sheets.conftest import Desk

HEAD = ["kind", "maker", "part number", "serial"]
FIRST = ["pressure sensor", "Ostrell", "HV 204 118", "71-40822"]


@pytest.mark.parametrize(
    ("row", "flagged"),
    [
        (["pressure sensor", "Ostrell", "HV 204 118", "71-4O822"], True),
        (["pressure sensor", "Ostrell", "HV 204 118", "7l.4Q8ZZ"], True),
        (["pressure sensor", "", "", "71-4O822"], True),
        (["pressure sensor", "Ostrell", "HV 204 118", "71-40832"], False),
        (["pressure sensor", "Murnebeck", "HV 204 118", "71-4O822"], False),
        (["pressure sensor", "Ostrell", "HV 204 119", "71-4O822"], False),
        (["relay", "", "", "71-4O822"], False),
    ],
)
@pytest.mark.parametrize("together", [True, False])
def test_look_alikes_are_flagged_and_go_in(desk: Desk, row: Sequence[str], flagged: bool, together: bool) -> None:
    if together:
        report = desk.read(desk.csv([HEAD, FIRST, row]))
    else:
        desk.read(desk.csv([HEAD, FIRST]))
        report = desk.read(desk.csv([HEAD, row]))

    assert report.added == (2 if together else 1)
    assert bool(report.duplicates) == flagged
    assert len(desk.tags()) == 2
    if flagged:
        (same,) = report.duplicates
        assert (same.row, same.serial, same.other_serial) == (3 if together else 2, row[3], FIRST[3])
        assert (same.other, same.tag is None) == (("parts", 2) if together else None, together)
        assert row[3] in same.says
    assert desk.read(desk.csv([HEAD, FIRST, row])).duplicates == []


def test_short_serials_are_not_flagged(desk: Desk) -> None:
    rows = [["relay", "", "HV 1", "5"], ["relay", "", "HV 1", "S"]]

    assert desk.read(desk.csv([HEAD, *rows])).duplicates == []


def test_a_serial_mended_into_a_look_alike_is_flagged(desk: Desk) -> None:
    desk.read(desk.csv([HEAD, FIRST, [*FIRST[:3], "80001"]]))
    tag = next(card.line.tag for card in map(desk.card, desk.tags()) if card.line.serial == "80001")

    report = desk.read(desk.csv([["tag", "serial"], [tag, "7140B22"]]))

    assert (report.changed, [same.serial for same in report.duplicates]) == (1, ["7140B22"])
