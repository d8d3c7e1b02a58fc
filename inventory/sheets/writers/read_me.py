"""The page of an export that says what is what, for whoever has no such program: plain HTML, also to be printed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from inventory.sheets.columns.catalogue import SheetKind
from inventory.sheets.writers.page import Page
from inventory.sheets.writers.template import meanings

__all__ = ["Told", "read_me"]

_STYLE = (
    "body{font:15px/1.45 sans-serif;max-width:46em;margin:2em auto;padding:0 1em;color:#111}"
    "h1{font-size:1.5em}h2{font-size:1.1em;margin:1.6em 0 .3em}table{border-collapse:collapse;width:100%}"
    "td,th{border-bottom:1px solid #bbb;text-align:left;vertical-align:top;padding:.2em .6em .2em 0}"
    "td:first-child,th:first-child{width:13em}code{overflow-wrap:anywhere}"
    "@media print{body{margin:0;max-width:none}h2{break-after:avoid}tr{break-inside:avoid}}"
)
_INTRODUCTION = (
    "This folder holds what a workshop knew of the parts and cars in its care. It was written out of a record kept "
    "with the program matchmark, so that nobody needs the program to read it.",
    "Open everything.xlsx with any spreadsheet program: it has a tab for each table below. The same tables lie here as "
    "csv files (UTF-8, separated by commas), which can be read by anything; but a spreadsheet program that opens a csv "
    "by itself may drop the zeros before a number (0042 becomes 42), so look into everything.xlsx for those.",
    "Each part has a label with a tag (letters, figures and a dash, such as K4127-7), and every table that speaks of a "
    "part names it by its tag. Start with the table parts.",
    "A day may be vague: 1998~ means about 1998, 197X in the 1970s, 1968/1972 between the two, ../2019 by 2019. "
    "“Seen by” and “seen on” say who looked at the part and when; “written in a sheet” means that only a list said so.",
)
#: What the tables hold that are no facts of one kind.
_SHEETS = {
    "parts": "Each part once, as it is known now.",
    "fits": "Which sensors and which control units work together, by number.",
    "hardware": "What was counted of screws, grommets and hoses, by place.",
    "positions": "Where on each car a part belongs, and what fastens it.",
    "rates": "Rates of exchange, each of a day.",
    "record": "The record itself, and the day of this export.",
    "contacts": "People and firms.",
    "part numbers": "The makers' numbers that are named elsewhere.",
    "documents": "Pictures and papers, with the file of each.",
}
_FOR_BUILDERS = re.compile(r" ?\(`[^)]*\)")
_END_OF_CLAUSE = re.compile(r"(?<!e\.g)\. |; ")
_OF_DOCUMENTS = {
    "file": "Where the picture or paper lies in this folder.",
    "document": "The name of the file as it was given; other tables name it by this.",
    "about": "The tag of the part, or the car, of which it tells.",
    "shows": "What it shows.",
    "digest": "SHA-256 of the file as it was given.",
}


@dataclass(frozen=True)
class Told:
    """What the page tells: the pages of the folder with their sheets, and the sentences on the whole."""

    pages: Sequence[Page]
    kinds: Mapping[str, SheetKind]
    kept_by: Sequence[str]
    number: int
    fingerprint: str
    lines: Sequence[str]
    gone: Sequence[str]
    left_out: Sequence[str]


def read_me(told: Told) -> str:
    """The page as HTML."""
    number = f"Export no. {told.number}. " if told.number else ""
    whole = [f"{number}{' '.join(told.kept_by)}", *told.lines]
    if told.fingerprint:
        whole.append(f"Fingerprint {told.fingerprint}: the SHA-256 of sha256.txt, which has that of every other file.")
    if told.gone:
        whole.append(f"Not here, since the files are gone or were changed: {', '.join(told.gone)}.")
    if told.left_out:
        whole.append(f"Left out: {', '.join(told.left_out)}. Roles stand for names of people.")
    files = [
        (f"{page.name}.csv", f"{len(page.rows)} rows. {_about(page.name, told.kinds.get(page.name))}")
        for page in told.pages
    ]
    pieces = [
        '<!doctype html><html lang="en"><head><meta charset="utf-8">',
        f"<title>Read me first</title><style>{_STYLE}</style></head><body><h1>Read me first</h1>",
        *(f"<p>{escape(each)}</p>" for each in _INTRODUCTION),
        "<h2>What this is</h2>",
        *(
            f"<p><code>{escape(each)}</code></p>" if "ingerprint" in each else f"<p>{escape(each)}</p>"
            for each in whole
        ),
        "<h2>The tables</h2>",
        _table(("file", "what it has"), files),
    ]
    for page in told.pages:
        pieces += [f"<h2>{escape(page.name)}</h2>", _table(("column", "what it means"), _columns(page, told.kinds))]
    return "\n".join([*pieces, "</body></html>\n"])


def _about(name: str, sheet: SheetKind | None) -> str:
    """What the rows of a sheet are: as its table is described, up to what only builders need."""
    if sheet is None or sheet.fact is None:
        return _SHEETS.get(name, "")
    said = _FOR_BUILDERS.sub("", (sheet.fact.table.__doc__ or sheet.fact.word).split("\n")[0])
    return _first_clause(said.split(": ")[0])


def _first_clause(text: str) -> str:
    """The first clause of a sentence: what follows tells how a cell is filled in."""
    clause = _END_OF_CLAUSE.split(text, maxsplit=1)[0]
    return f"{clause}." if clause and not clause.endswith(".") else clause


def _columns(page: Page, kinds: Mapping[str, SheetKind]) -> Iterable[tuple[str, str]]:
    sheet = kinds.get(page.name)
    known = meanings(sheet) if sheet is not None else _OF_DOCUMENTS
    values = sheet.values if sheet is not None else {}
    examples = {name: f"For example: {value.examples[0]}" for name, value in values.items() if value.examples}
    return [(header, _first_clause(known.get(header, "")) or examples.get(header, "")) for header in page.headers]


def _table(head: tuple[str, str], rows: Iterable[tuple[str, str]]) -> str:
    lines = [f"<tr><th>{head[0]}</th><th>{head[1]}</th></tr>"]
    lines += [f"<tr><td>{escape(one)}</td><td>{escape(other)}</td></tr>" for one, other in rows]
    return f"<table>{''.join(lines)}</table>"
