"""Dates in words: read from old papers and sheets (English, German, French, Italian), and written in English."""

from __future__ import annotations

import re
import unicodedata
from datetime import date

__all__ = ["day_words", "edtf_of_words"]

#: Months by the beginnings people write; accents are folded away before, dots taken off.
_MONTHS = (
    "jan january janv janvier januar jän jaenner jänner gen gennaio",
    "feb february fév févr février februar feber febbraio",
    "mar march mär märz maerz mrz mars marzo",
    "apr april avr avril aprile",
    "may mai mag maggio",
    "jun june juni juin giu giugno",
    "jul july juli juil juillet lug luglio",
    "aug august août aout ago agosto",
    "sep sept september septembre set sett settembre",
    "oct october okt oktober octobre ott ottobre",
    "nov november novembre",
    "dec december dez dezember déc décembre dic dicembre",
)
#: EDTF's numbers of the seasons (21 to 24), without saying which hemisphere.
_SEASONS = (
    "spring frühling frühjahr fruehling fruehjahr printemps primavera",
    "summer sommer été estate",
    "autumn fall herbst automne autunno",
    "winter hiver inverno",
)
_ABOUT = r"(?:about|around|approx|approximately|circa|ca|c|um|etwa|ungefahr|ungefaehr|zirka|environ|env|vers|verso)"
_LED = re.compile(rf"(?:{_ABOUT})(?:\.\s*|\s+)(.+)")
_SEASON = re.compile(r"\d{4}-2[1-4]")
_DECADE = re.compile(r"(?:the\s+)?(\d{3})0(?:'?s|er(?:\s+jahre)?)")
_YEARS = re.compile(r"(?:(?:between|from|zwischen|von|entre|tra)\s+)?(\d{4})\s*(?:-|–|to|and|bis|und|a|et|e)\s*(\d{4})")
_WORD_YEAR = re.compile(r"([a-z]+)\.?,?\s*(?:of\s+|de\s+|del\s+|di\s+)?(\d{4})")
_DAY_WORD_YEAR = re.compile(r"(\d{1,2})(?:\.|st|nd|rd|th|er|°|º)?[\s-]*(?:of\s+)?([a-z]+)\.?,?[\s-]*(\d{4})")
_WORD_DAY_YEAR = re.compile(r"([a-z]+)\.?\s*(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})")


def day_words(edtf: str) -> str:
    """A day in words, "12 March 2026"; a vague date unchanged."""
    try:
        day = date.fromisoformat(edtf)
    except ValueError:
        return edtf
    return f"{day.day} {day:%B} {day.year}"


def edtf_of_words(told: str) -> str | None:
    """The EDTF text that words mean; None where they are none that are known. Wheth"""
    text = _folded(told)
    led = _LED.fullmatch(text)
    if led is not None and (inner := _date(led[1])) is not None and "/" not in inner:
        return inner if _SEASON.fullmatch(inner) else f"{inner}~"  # which is about as vague as it can be said
    return _date(text)


def _date(text: str) -> str | None:
    if re.fullmatch(r"\d{4}(?:-\d\d){0,2}", text):
        return text
    if decade := _DECADE.fullmatch(text):
        return f"{decade[1]}X"
    if years := _YEARS.fullmatch(text):
        return f"{years[1]}/{years[2]}"
    if (found := _WORD_YEAR.fullmatch(text)) and (number := _WORDS.get(found[1])):
        return f"{found[2]}-{number:02}"
    if (found := _DAY_WORD_YEAR.fullmatch(text)) and (number := _month(found[2])):
        return f"{found[3]}-{number:02}-{int(found[1]):02}"
    if (found := _WORD_DAY_YEAR.fullmatch(text)) and (number := _month(found[1])):
        return f"{found[3]}-{number:02}-{int(found[2]):02}"
    return None


def _month(word: str) -> int | None:
    number = _WORDS.get(word)
    return number if number is not None and number <= 12 else None


def _folded(text: str) -> str:
    """Text without case, accents and repeated blanks."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(each for each in plain if not unicodedata.combining(each)).split())


_WORDS: dict[str, int] = {
    _folded(word): number
    for first, groups in ((1, _MONTHS), (21, _SEASONS))
    for number, group in enumerate(groups, first)
    for word in group.split()
}
