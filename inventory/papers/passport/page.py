"""The page for people in a passport: plain HTML, everything escaped, no script, nothing from outside. Pure."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Sequence
from html import escape

from inventory.condition_list.words import CLASSES
from inventory.given_out.anchors import FITS, NOT_GIVEN, grouped
from inventory.papers.passport.history import Enclosed, PartHistory, ToldFact
from inventory.papers.passport.missing import LANES, by_source, in_lane

__all__ = ["page_of"]

_STYLE = (
    "body{font:1rem/1.45 sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#000;background:#fff}"
    "h1,h2{line-height:1.2}table{border-collapse:collapse;width:100%;margin:.5rem 0}"
    "th,td{border:1px solid #999;padding:.3rem .5rem;text-align:left;vertical-align:top;overflow-wrap:break-word}"
    ".facts td:first-child{white-space:nowrap}th{font-weight:bold}"
    "figure{display:inline-block;margin:0 1rem 1rem 0;max-width:100%}"
    "img{max-width:20rem;max-height:20rem;display:block}"
    ".notice{border:2px solid #000;padding:.5rem 1rem}.long{overflow-wrap:anywhere}"
)
_STYLE_DIGEST = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
_POLICY = f"default-src 'none'; img-src 'self' file:; style-src 'sha256-{_STYLE_DIGEST}'"
_NOTICE = (
    "This is a history: what is on record about one part, and who says so. It is no release, no certificate, and no "
    "permission to fit. It promises nothing about the part's condition, present or future."
)
_PROVES = (
    "The fingerprint and the digests show whether anything was changed since this was written. They do not show that "
    "it is true: that rests on those who are named beside each line."
)
_CONDITION = (
    f"A condition says how the part looks: {', '.join(f'{number} {words}' for number, words in CLASSES.items())} "
    "(classes borrowed from EN 16096, for built heritage; words from memory). It is no grade of a vehicle."
)
_TOP = {
    "tag": "label",
    "kind": "kind",
    "maker": "maker",
    "part_number": "part number",
    "serial": "serial",
    "serial_state": "serial",
    "date_code": "date code",
    "match_code": "match code (letter)",
    "match_code_state": "state of the match code",
    "match_code_read_from": "match code read from",
    "marks": "other marks, as read",
}


def page_of(history: PartHistory) -> str:
    """The page: what the part is, pictures, three lanes, what was found by sort of source, what is missing."""
    title = f"part history: {history.part.get('tag')}"
    mark = history.state.mark
    body = [
        "<h1>part history</h1>",
        *([f'<p class="notice"><strong>{escape(mark)}</strong>: {escape(NOT_GIVEN)}</p>'] if mark else ()),
        f'<p class="notice">{escape(_NOTICE)}</p>',
        *_what(history),
        *_pictures(history.documents),
        *_lanes(history),
        *_findings(history),
        *_listed("What is missing", history.missing),
        *_listed("What stays with the owner", [f"{word}: {many}" for word, many in history.stays.items()]),
        "<p>Prices, people's addresses and storage places never leave with a part history.</p>",
        *_papers(history.documents),
        *_check(history),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{escape(_POLICY)}">\n'
        '<meta name="referrer" content="no-referrer">\n<meta name="viewport" content="width=device-width">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )


def _what(history: PartHistory) -> list[str]:
    rows = [(words, str(history.part[name])) for name, words in _TOP.items() if history.part.get(name)]
    rows += [("former labels", ", ".join(history.formerly))] if history.formerly else []
    rows.append(("written on", history.written_on))
    return ["<h2>The part</h2>", _table((), rows)]


def _pictures(documents: Sequence[Enclosed]) -> list[str]:
    pictures = [each for each in documents if each.media_type.startswith("image/")]
    if not pictures:
        return []
    figures = []
    for each in pictures:
        how = "as taken in" if each.original else "copy without place, camera and owner"
        says = escape(f"{each.shows}, {each.on}; {how}")
        figures.append(f'<figure><img src="{escape(each.file)}" alt="{says}"><figcaption>{says}</figcaption></figure>')
    return ["<h2>Pictures</h2>", *figures]


def _lanes(history: PartHistory) -> list[str]:
    found = []
    for lane, heading in LANES.items():
        facts = in_lane(history.facts, lane)
        found.append(f"<h2>{escape(heading)}</h2>")
        found.append(_facts(facts) if facts else "<p>Nothing is on record.</p>")
    return found


def _findings(history: PartHistory) -> list[str]:
    shown = {fact.origin for lane in LANES for fact in in_lane(history.facts, lane)}
    shown |= {fact.origin for fact in history.facts if fact.kind == "attachment"}
    found = ["<h2>What was found, by who says so</h2>", f"<p>{escape(_CONDITION)}</p>"]
    for source, facts in by_source(fact for fact in history.facts if fact.origin not in shown).items():
        found += [f"<h3>{escape(source)}</h3>", _facts(facts)]
    return found


def _facts(facts: Iterable[ToldFact]) -> str:
    rows = []
    for fact in facts:
        when = f"{fact.on} ({fact.told})" if fact.told and fact.told != fact.on else fact.on
        says = f"{fact.says}. Judged there: {fact.judged}" if fact.judged else fact.says
        who = "; ".join(filter(None, (fact.source, fact.how_known, fact.by)))
        rows.append((when, f"{fact.word}: {says}", f"{who} on {fact.recorded_on}"))
    return _table(("when it was so", "what", "known how; by whom and when written down"), rows, "facts")


def _listed(heading: str, lines: Sequence[str]) -> list[str]:
    items = "".join(f"<li>{escape(line)}</li>" for line in lines) or "<li>nothing</li>"
    return [f"<h2>{escape(heading)}</h2>", f"<ul>{items}</ul>"]


def _papers(documents: Sequence[Enclosed]) -> list[str]:
    rows = [(each.file, each.shows, each.on, str(each.size), each.sha256[:16]) for each in documents]
    head = ("file", "shows", "from", "bytes", "SHA-256 begins")
    return ["<h2>Documents enclosed</h2>", _table(head, rows)] if rows else []


def _check(history: PartHistory) -> list[str]:
    anchor = history.state.anchor
    rows = [
        ("passport", f"no. {history.number}" if history.number else "without a number"),
        ("record", history.record),
        ("record's anchor", f"{anchor.shown}. {FITS}" if anchor else "-"),
        ("tests judged with", history.edition),
        ("fingerprint", "-" if history.unverified else grouped(history.fingerprint)),
    ]
    how = "To check it: matchmark passport check FILE, or any program for BagIt bags (RFC 8493)."
    return ["<h2>How to check it</h2>", f"<p>{escape(how)} {escape(_PROVES)}</p>", _table((), rows)]


def _table(head: Sequence[str], rows: Iterable[Sequence[str]], sort: str = "plain") -> str:
    top = f"<tr>{''.join(f'<th>{escape(cell)}</th>' for cell in head)}</tr>\n" if head else ""
    lines = []
    for first, *rest in rows:
        start = f"<td>{escape(first)}</td>" if head else f"<th>{escape(first)}</th>"
        lines.append(f"<tr>{start}{''.join(f'<td>{escape(cell)}</td>' for cell in rest)}</tr>")
    return f'<table class="{sort}">\n{top}{chr(10).join(lines)}\n</table>'
