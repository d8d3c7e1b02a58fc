"""Dates in words. EDTF: Library of Congress, specification of 4 February 2019 (loc.gov/standards/datetime), seen.

Names of months: Unicode CLDR, calendar data of en, de, de-AT, fr and it, wide and abbreviated (from memory).
"""

from __future__ import annotations

import pytest

from inventory.errors import Refused
from inventory.store.days.dates import parse_when

_MONTHS = {
    "English": "January February March April May June July August September October November December",
    "English, short": "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec",
    "German": "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
    "German, short": "Jan. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez.",
    "Austrian": "Jänner Februar März April Mai Juni Juli August September Oktober November Dezember",
    "French": "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
    "French, short": "janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc.",
    "Italian": "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre",
    "Italian, short": "gen feb mar apr mag giu lug ago set ott nov dic",
}


@pytest.mark.parametrize("language", _MONTHS)
def test_names_of_months(language: str) -> None:
    for number, name in enumerate(_MONTHS[language].split(), 1):
        month = parse_when(f"{name} 1999")
        day = parse_when(f"3 {name.upper()} 1999")

        assert (month.edtf, month.told) == (f"1999-{number:02}", f"{name} 1999")
        assert day.edtf == f"1999-{number:02}-03"


# Level 1: 21 spring, 22 summer, 23 autumn, 24 winter, whatever the hemisphere (seen).
@pytest.mark.parametrize(
    ("names", "edtf"),
    [
        ("spring Frühling Frühjahr printemps primavera", "1999-21"),
        ("summer Sommer été estate", "1999-22"),
        ("autumn fall Herbst automne autunno", "1999-23"),
        ("winter Winter hiver inverno", "1999-24"),
    ],
)
def test_seasons(names: str, edtf: str) -> None:
    for name in names.split():
        when = parse_when(f"{name} 1999")

        assert (when.edtf, when.told) == (edtf, f"{name} 1999")


# Level 1: "~" behind a date is approximate; level 1: X stands for a figure that is not said; level 0: an interval.
@pytest.mark.parametrize(
    ("told", "edtf"),
    [
        ("ca. 1998", "1998~"),
        ("c. 1998", "1998~"),
        ("circa 1998", "1998~"),
        ("about 1998", "1998~"),
        ("etwa 1998", "1998~"),
        ("environ 1998", "1998~"),
        ("verso 1998", "1998~"),
        ("about March 1998", "1998-03~"),
        ("ca. spring 1999", "1999-21"),
        ("1970s", "197X"),
        ("the 1970s", "197X"),
        ("1970er Jahre", "197X"),
        ("between 1968 and 1972", "1968/1972"),
        ("1968 - 1972", "1968/1972"),
        ("1968-1972", "1968/1972"),
        ("1968 bis 1972", "1968/1972"),
        ("1st of May 1971", "1971-05-01"),
        ("May 1st, 1971", "1971-05-01"),
        ("1er mai 1971", "1971-05-01"),
        ("3-May-1971", "1971-05-03"),
        ("3.März 1971", "1971-03-03"),
    ],
)
def test_what_words_mean_stands_beside_the_words(told: str, edtf: str) -> None:
    when = parse_when(told)

    assert (when.edtf, when.told) == (edtf, told)


@pytest.mark.parametrize(
    "told", ["31 February 1999", "29 Feb 1971", "May", "3 Smarch 1999", "32 May 1999", "spring 99"]
)
def test_what_is_no_date_in_words(told: str) -> None:
    with pytest.raises(Refused):
        parse_when(told)


def test_a_long_text_is_no_date_and_is_not_looked_at() -> None:
    with pytest.raises(Refused) as caught:
        parse_when(f"[{'1971,' * 20_000}1972]")

    assert len(caught.value.message) < 150


@pytest.mark.parametrize("told", ["1972-1968", "between 1972 and 1968"])
def test_years_that_run_backwards(told: str) -> None:
    with pytest.raises(Refused):
        parse_when(told)
