"""Papers for others that Out writes besides the list: what each asks first, what it shows, how it is written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias

from inventory.condition_list.load_people import load_people
from inventory.papers.after.load_after import page_for_those_after
from inventory.papers.claim.write_claim import offered_for, write_claim
from inventory.papers.passport.load_enclosed import documents_of_part, names_people
from inventory.papers.passport.write_passport import write_passport
from inventory.papers.sale.load_sale import sale_of
from inventory.papers.setting.load_setting import setting_paper
from inventory.papers.write_out import write_out
from inventory.parts.queries import part_row
from tui.data.leaving import Said, Written, day_of
from tui.words import many

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.papers.page import Page
    from inventory.store.record import Record

__all__ = ["PAPERS", "Ask", "Chosen", "Enclosed", "Looked", "NamesIn", "PaperSort"]

Answers = Mapping[str, str]
NamesIn: TypeAlias = Literal["keep", "cut"] | None


@dataclass(frozen=True)
class Ask:
    """A question before the paper can be shown; `enter`: what Enter alone means ("": it must be answered)."""

    key: str
    words: str
    enter: str = ""


@dataclass(frozen=True)
class Enclosed:
    """A document that could go with a paper: its digest, and what to know of it before it does."""

    digest: str
    says: str


@dataclass(frozen=True)
class Looked:
    """A paper as it would be written. `agree`: what must be agreed to first; `may_go`: documents, each asked about."""

    says: Said
    agree: str = ""
    may_go: tuple[Enclosed, ...] = ()


@dataclass(frozen=True)
class Chosen:
    """What was decided before a paper is written: answers, digests of documents that go, names kept or cut."""

    answers: Answers
    documents: tuple[str, ...] = ()
    names: NamesIn = None


@dataclass(frozen=True)
class PaperSort:
    """One sort of paper: what it asks, how its file ends, a sentence for the help; how it is shown and written."""

    asks: tuple[Ask, ...]
    ends: str
    about: str
    look: Callable[[Session, Record, str, Answers], Looked]
    write: Callable[[Record, str, Path, Chosen, bool], Written]


def _sections(page: Page) -> Said:
    """A paper as text."""
    head = ((page.title, (page.intro,) if page.intro else ()),)
    rest = (
        (each.title, (*((each.note,) if each.note else ()), *(_line(line.word, line.says) for line in each.lines)))
        for each in page.sections
    )
    return (*head, *rest)


def _line(word: str, says: str) -> str:
    return f"{word}: {says}" if word else says


def _page_written(
    make: Callable[[Session], Page], record: Record, by: str, path: Path, overwrite: bool, then: Sequence[str] = ()
) -> Written:
    page, paper = write_out(record, by, path, make, overwrite=overwrite)
    lines = [f"Written to {path} as {page.what} no. {page.number}, {many(paper.pages_count, 'page')}"]
    lines += [*page.known_by, *([paper.missing_sentence()] if paper.missing else ()), *then]
    return Written(page.what, page.number, (("On file", tuple(lines)),))


def _sale_looked(session: Session, _: Record, by: str, answers: Answers) -> Looked:
    sale = sale_of(session, answers["part"])
    mates = " and ".join(f"{mate.tag} ({mate.what})" for mate in sale.mates)
    agree = f"It belongs with {mates}; sold apart, neither can be known again by the other." if mates else ""
    notes = (("For you", sale.notes),) if sale.notes else ()
    return Looked((*_sections(sale.page), *notes), agree)


def _sale_written(record: Record, by: str, path: Path, chosen: Chosen, overwrite: bool) -> Written:
    tag = chosen.answers["part"]
    return _page_written(lambda session: sale_of(session, tag).page, record, by, path, overwrite)


def _setting_looked(session: Session, _: Record, by: str, answers: Answers) -> Looked:
    made = setting_paper(session, answers["part"], answers["unit"], by=by, machine=answers["machine"])
    missing = (("Missing", made.missing),) if made.missing else ()
    return Looked((*missing, *_sections(made.page)))


def _setting_written(record: Record, by: str, path: Path, chosen: Chosen, overwrite: bool) -> Written:
    tag, unit, machine = (chosen.answers[key] for key in ("part", "unit", "machine"))

    def make(session: Session) -> Page:
        return setting_paper(session, tag, unit, by=by, machine=machine).page

    then = (f"It counts only once it is filed: matchmark pairs paper {tag} --help",)
    return _page_written(make, record, by, path, overwrite, then)


def _after(record: Record, answers: Answers) -> Callable[[Session], Page]:
    asked = tuple(name.strip() for name in answers["ask"].split(",") if name.strip())
    return partial(page_for_those_after, record=record.shown, ask=asked, copy=answers["copy"])


def _after_looked(session: Session, record: Record, by: str, answers: Answers) -> Looked:
    return Looked(_sections(_after(record, answers)(session)))


def _after_written(record: Record, by: str, path: Path, chosen: Chosen, overwrite: bool) -> Written:
    return _page_written(_after(record, chosen.answers), record, by, path, overwrite)


def _passport_looked(session: Session, _: Record, by: str, answers: Answers) -> Looked:
    part = part_row(session, answers["part"])
    people = load_people(session, {}, frozenset())
    every = documents_of_part(session, part.id)
    may_go = tuple(
        Enclosed(
            each.view.digest,
            f"{each.view.file_name} ({each.view.shows}, {each.view.on}). "
            f"{'It names somebody on record' if names_people(session, each.view, people) else 'It may name people'}.",
        )
        for each in every
        if not each.is_picture
    )
    pictures = sum(each.is_picture for each in every)
    lines = (
        "Its facts, and what is not known, as data and as a page to read; no prices, addresses or places",
        f"{many(pictures, 'picture')}, as copies without place, camera, owner and times",
        f"{many(len(may_go), 'paper')}: each is asked about, none goes unasked",
    )
    return Looked(((f"Passport of {part.tag}: part history, no release, no certificate", lines),), may_go=may_go)


def _passport_written(record: Record, by: str, path: Path, chosen: Chosen, overwrite: bool) -> Written:
    tag, papers = chosen.answers["part"], chosen.documents
    drawn = write_passport(
        record, by, tag, path, documents=papers, shown_to=papers, names=chosen.names, overwrite=overwrite
    )
    history = drawn.history
    file = f"facts {len(history.facts)}, documents {len(history.documents)}; not signed"
    lines = [f"Written to {path} as passport no. {history.number}: {file}", f"Fingerprint {history.fingerprint}"]
    lines += history.state.lines
    lines += [f"Not in it: {word} {count}" for word, count in history.stays.items()]
    lines += [f"Not known: {'; '.join(history.missing)}"] if history.missing else []
    return Written("passport", history.number, (("On file", (*lines, *drawn.warnings)),))


def _claim_looked(session: Session, _: Record, by: str, answers: Answers) -> Looked:
    offered = offered_for(session, answers["named"], day_of(session, answers["day"]))
    may_go = tuple(Enclosed(each.view.digest, each.says) for each in offered)
    lines = (
        "The list as of that day, as known on that day, with roles instead of names",
        f"{many(len(may_go), 'document')}: each is shown first, none goes unasked",
        "What the journal proves of the entries; what was recorded later, apart",
    )
    return Looked(((f"Claim: {answers['named']}, loss on {answers['day']}", lines),), may_go=may_go)


def _claim_written(record: Record, by: str, path: Path, chosen: Chosen, overwrite: bool) -> Written:
    with record.read() as session:
        day = day_of(session, chosen.answers["day"])
    named = chosen.answers["named"]
    claim = write_claim(record, by, named, day, path, documents=chosen.documents, overwrite=overwrite)
    drawn = claim.drawn
    lines = [f"Written to {path} as claim no. {claim.number}: {many(len(drawn.items), 'item')} {claim.scope.says}"]
    lines += [f"{currency} {amount} counted ({drawn.basis} value)" for currency, amount in drawn.totals.items()]
    lines += [f"{len(drawn.later)} recorded, corrected or taken back later, apart", f"Fingerprint {claim.fingerprint}"]
    lines += claim.state.lines
    return Written("claim", claim.number, (("On file", tuple(lines)),))


_PART = Ask("part", "Which part? Its label:")
PAPERS: dict[str, PaperSort] = {
    "claim": PaperSort(
        (Ask("named", "Which car or place?"), Ask("day", "Day of the loss:")),
        "zip",
        "One zip with the list as of the day of the loss, the documents that you say yes to, and what the journal "
        "proves. Other options: matchmark claim.",
        _claim_looked,
        _claim_written,
    ),
    "passport": PaperSort(
        (_PART,),
        "zip",
        "The history of a part as one file that travels with it. Not signed here: matchmark passport write --sign.",
        _passport_looked,
        _passport_written,
    ),
    "sale": PaperSort(
        (_PART,),
        "pdf",
        "One page for a buyer that says what tested means here: each test with figure and day, and what none could "
        "show.",
        _sale_looked,
        _sale_written,
    ),
    "setting": PaperSort(
        (
            Ask("part", "Which sensor? Its label:"),
            Ask("unit", "Control unit, label or number and letter:"),
            Ask("machine", "On which machine?", "not said"),
        ),
        "pdf",
        "What a specialist hands over with a sensor that he has set. It needs work on the unit and a sweep after it.",
        _setting_looked,
        _setting_written,
    ),
    "after": PaperSort(
        (
            Ask("ask", "Whom can they ask? Contacts, with commas:", "nobody"),
            Ask("copy", "Where is a copy of the record?", "not said"),
        ),
        "pdf",
        "What is worth most, what must never be parted, what belongs to whom, what not to touch, whom to ask. Names "
        "stand on it: it is meant for the family.",
        _after_looked,
        _after_written,
    ),
}
