"""EDTF: ISO 8601-2:2019 annex A; the Library of Congress specification of 4 February 2019
(loc.gov/standards/datetime). Bounds: test suite of the repository ixc/python-edtf, edtf/parser/tests.py,
and worked out with edtf 5.0.2. Open ends reach to the calendar's own end here.
"""

from __future__ import annotations

from datetime import date

import pytest

from inventory.errors import Refused
from inventory.store.days.dates import FIRST_DAY, LAST_DAY, parse_when, when_on

BOUNDS = [
    ("1985-04-12", date(1985, 4, 12), date(1985, 4, 12)),
    ("1985-04", date(1985, 4, 1), date(1985, 4, 30)),
    ("1985", date(1985, 1, 1), date(1985, 12, 31)),
    ("1964/2008", date(1964, 1, 1), date(2008, 12, 31)),
    ("2004-06/2006-08", date(2004, 6, 1), date(2006, 8, 31)),
    ("2004-02-01/2005-02-08", date(2004, 2, 1), date(2005, 2, 8)),
    ("1972", date(1972, 1, 1), date(1972, 12, 31)),
    ("1972-06", date(1972, 6, 1), date(1972, 6, 30)),
    ("197X", date(1970, 1, 1), date(1979, 12, 31)),
    ("1972-XX", date(1972, 1, 1), date(1972, 12, 31)),
    ("1972-21", date(1972, 3, 1), date(1972, 5, 31)),
    ("1972-35", date(1972, 7, 1), date(1972, 9, 30)),
    ("1968/1972", date(1968, 1, 1), date(1972, 12, 31)),
    ("1972/..", date(1972, 1, 1), LAST_DAY),
    ("../1972", FIRST_DAY, date(1972, 12, 31)),
    ("1972/", date(1972, 1, 1), LAST_DAY),
    ("1972~", date(1972, 1, 1), date(1972, 12, 31)),
    ("1972?", date(1972, 1, 1), date(1972, 12, 31)),
    ("1972%", date(1972, 1, 1), date(1972, 12, 31)),
    ("[1971,1972]", date(1971, 1, 1), date(1972, 12, 31)),
    ("{1971,1972}", date(1971, 1, 1), date(1972, 12, 31)),
    ("2004-06-11%", date(2004, 6, 11), date(2004, 6, 11)),
]

REFUSED = [
    *("1972-13", "1972-02-30", "72", "1972-1", "19720612", "Y1972", "197u", "open", "", "2016-02-39"),
    *("2004-(06)?-11", "1971-02-29", "1974/1972", "../..", "/", "0000", "1972-00", "1972-06-00", "yesterday"),
]


@pytest.mark.parametrize(("text", "earliest", "latest"), BOUNDS)
def test_bounds(text: str, earliest: date, latest: date) -> None:
    when = parse_when(text)

    assert (when.earliest, when.latest) == (earliest, latest)


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_no_date_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_when(text)


@pytest.mark.parametrize(
    ("told", "edtf"), [("about 1998", "1998~"), ("ca. 1998", "1998~"), ("spring 1999", "1999-21"), ("1998~", "1998~")]
)
def test_words_keep_standing_beside_the_date_they_mean(told: str, edtf: str) -> None:
    when = parse_when(told)

    assert when.edtf == edtf
    assert when.told == ("" if told == edtf else told)


def test_only_what_cannot_but_lie_ahead_is_refused() -> None:
    today = date(2026, 3, 15)

    assert when_on("2026-03", today).earliest == date(2026, 3, 1)
    assert when_on(None, today).edtf == "2026-03-15"
    with pytest.raises(Refused):
        when_on("2026-03-16", today)
