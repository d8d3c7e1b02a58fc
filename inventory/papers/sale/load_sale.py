"""Reads what a sale sheet says of a part, and what stands against selling it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from inventory.contradictions.looks import LETTER
from inventory.errors import Refused
from inventory.facts.how_known import is_own
from inventory.pairing.actions import reserved_now
from inventory.pairing.candidate import PAIRED_KINDS
from inventory.papers.page import Line, Page, Picture, Section
from inventory.papers.sale.load_mates import Mate, mates_of
from inventory.papers.sale.load_on_record import OnRecord, on_record
from inventory.papers.sale.told import condition, done, identity, not_known, said
from inventory.papers.sale.words import STATEMENT, TESTED, letter_line, seal_lines, test_line, test_order
from inventory.parts.queries import PartLine, lines, part_row
from inventory.reference.data import reference_of
from inventory.store.days.date_words import day_words
from inventory.store.days.zone import today_in
from inventory.store.words.nothing import nothing_in

__all__ = ["SALE_SHEET", "Sale", "sale_of"]

SALE_SHEET = "sale sheet"
#: What a buyer wants to see, in this order, how many of each, and how many pictures stand on the page.
_PICTURES = (("whole", 1), ("seal", 3), ("marking", 1), ("damage", 1), ("whole", 5))
_MOST_PICTURES = 5


@dataclass(frozen=True)
class Sale:
    """A sale sheet; `mates`: the parts that belong with it, of which it would be sold apart; `notes` for the seller."""

    page: Page
    mates: tuple[Mate, ...]
    notes: tuple[str, ...]


def sale_of(session: Session, tag: str) -> Sale:
    """The sale sheet of a part, not numbered yet. Raises `Refused` if it is not ours to sell or has left."""
    part = part_row(session, tag)
    (line,) = lines(session, [part.id])
    _refuse(line)
    seen, mates = on_record(session, part, line), mates_of(session, part)
    expected = reference_of(session).factory_seals(line.kind or "other", line.part_number or "")
    unfitting = tuple(Line(each.says, keep=True, data={"facts": list(each.facts)}) for each in seen.unfitting)
    alone = f"This sheet is of {line.tag} only; what is named here is not part of it." if mates else ""
    sections = (
        Section("part", "What it is", tuple(identity(seen))),
        Section("condition", "Condition", tuple(condition(seen))),
        Section("tests", 'What "tested" means here', tuple(_tests(seen)), TESTED),
        Section("not_shown", "What no test here could have shown", tuple(_not_shown(seen))),
        Section("unfitting", "What does not fit", unfitting),
        Section("seals", "Seals and letter", (*seal_lines(seen.on_part, expected, seen.by_fact), *_letter(seen))),
        Section("belongs", "Belongs with", tuple(Line(mate.says, mate.tag, keep=True) for mate in mates), alone),
        Section("done", "What was done", tuple(done(seen))),
        Section("said", "Said by others, not tested here", tuple(said(seen))),
        Section("not_known", "What is not known", tuple(not_known(seen, expected, bool(mates)))),
    )
    title = " ".join(filter(None, (line.kind or "part", line.maker, line.part_number)))
    today = today_in(session).isoformat()
    page = Page(
        SALE_SHEET,
        line.tag,
        f"{title[:1].upper()}{title[1:]}",
        today,
        tuple(section for section in sections if section.lines or section.note),
        statement=STATEMENT.format(day=day_words(today)),
        pictures=tuple(_pictures(seen)),
        others=tuple(mate.tag for mate in mates),
    )
    return Sale(page.with_texts(seen.people.cut), mates, tuple(_notes(session, line)))


def _refuse(line: PartLine) -> None:
    if line.gone:
        raise Refused(
            "part-gone",
            f"{line.tag} is recorded as {line.gone}, so it cannot be offered",
            where=line.tag,
            hint='if it is back: matchmark provenance note TAG --how "came back"',
        )
    if line.whose in ("customer's", "lent in"):
        raise Refused(
            "not-ours",
            f"{line.tag} is not ours to sell: it is recorded as {line.whose}",
            where=line.tag,
            hint="if it is ours now: matchmark provenance note TAG --how bought",
        )


def _tests(seen: OnRecord) -> list[Line]:
    newest = sorted(seen.evidence.runs, key=lambda run: (run.fact.counts_from, run.fact.ranked), reverse=True)
    decides = seen.evidence.serviceability.kind_modes.decides
    ordered = sorted(newest, key=lambda run: (*test_order(run), run.procedure != decides))
    return [test_line(run, seen.by(run.fact)) for run in ordered] or [Line("No test is on record.", keep=True)]


def _not_shown(seen: OnRecord) -> list[Line]:
    missed = seen.evidence.serviceability.not_shown
    if not missed:
        return [Line("Each known fault might have shown; none is ruled out.", keep=True)]
    return [Line("; ".join(missed), keep=True, data={"modes": list(missed)})]


def _letter(seen: OnRecord) -> list[Line]:
    line = seen.line
    if not (line.match_code or line.match_code_state or line.kind in PAIRED_KINDS):
        return []
    code = None if line.match_code and nothing_in(line.match_code) else line.match_code
    read = [fact for fact in seen.facts.get("marking", ()) if code and fact.values["match_code"] == code]
    origin = line.match_code_read_from or (
        f"the part itself, {day_words(read[-1].on)}, by {seen.by(read[-1])}"
        if read and is_own(read[-1])
        else "a sheet or the word of others"
    )
    is_open = any(each.open and each.about == LETTER for each in seen.unfitting)
    return [letter_line(code, line.match_code_state, origin, is_open)]


def _pictures(seen: OnRecord) -> Sequence[Picture]:
    """One picture of the whole, each of a seal, of marking and damage, then more of the whole; the newest first."""
    found: dict[str, Picture] = {}
    every = [each for each in reversed(seen.documents) if each.media_type.startswith("image/")]
    for shows, most in _PICTURES:
        for each in [each for each in every if each.shows == shows][:most]:
            found.setdefault(each.digest, Picture(each.digest, f"{shows}, {day_words(each.on)}"))
    return list(found.values())[:_MOST_PICTURES]


def _notes(session: Session, line: PartLine) -> list[str]:
    notes = []
    if line.fitted:
        notes.append(f"{line.tag} is on the {line.car}")
    if line.whose == "lent out":
        notes.append(f"{line.tag} is lent out")
    if line.kind in PAIRED_KINDS and reserved_now(session, line.id):
        notes.append(f"{line.tag} is reserved")
    return notes
