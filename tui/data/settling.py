"""Reading and writing for the view that asks what settles a contradiction."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.contradictions.looks import (
    ANOTHER_SEAL,
    BETWEEN,
    EARLIER_WRONG,
    LETTER,
    MINE_WRONG,
    NOT_NOW,
    POSITION,
    RENEWED,
    SEAL,
    TEST,
    Contradiction,
    Look,
)
from inventory.parts.tags import is_tag
from tui.data.entries import source_words
from tui.words import clock_time, listed, short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.facts.views import FactView
    from inventory.parts.queries import PartLine

__all__ = ["Further", "Saying", "Unfitting", "Way", "open_on", "settle"]

#: Of one contradiction so many sayings are shown.
_SAYINGS = 3


@dataclass(frozen=True)
class Saying:
    """One of the facts that do not fit: whether the person working wrote it today, what it says, when and by whom."""

    mine: bool
    says: str
    source: str


@dataclass(frozen=True)
class Further:
    """A further question of an answer: its name (which, why, paper), its words, what Enter alone does ("": nothing)."""

    name: str
    ask: str
    enter: str = ""


@dataclass(frozen=True)
class Way:
    """One answer that settles it: the word of the library, as shown, what it leads to, what is asked next.

    `takes_back`: the fact of one's own that is taken back by it instead of being settled.
    """

    answer: str
    says: str
    leads_to: str
    asks: tuple[Further, ...] = ()
    takes_back: str = ""


@dataclass(frozen=True)
class Unfitting:
    """One open contradiction: the thing and what it is, the sayings, what counts and what it means meanwhile.

    `later`: state and day of the later look, to be noted at another seal if it was at that one.
    """

    thing: str
    about: str
    head: str
    sayings: tuple[Saying, ...]
    counts: str
    until: tuple[tuple[str, str], ...]
    ways: tuple[Way, ...]
    later: tuple[str, str]


def open_on(session: Session, by: str, thing: str) -> tuple[Unfitting, ...]:
    """What is open on a thing, by its tag or name."""
    from inventory.contradictions.queries import contradictions_of
    from inventory.parts.queries import lines, part_row

    part = part_row(session, thing)
    (line,) = lines(session, [part.id])
    head = listed((line.kind or "kind not known").upper(), line.maker, line.part_number, line.serial_told)
    every = [
        one.contradiction for one in contradictions_of(session, [part.id], remarks=False) if one.contradiction.open
    ]
    return tuple(_unfitting(session, by, line.tag, head, each, _until(session, line, each)) for each in every)


def _until(session: Session, line: PartLine, found: Contradiction) -> tuple[tuple[str, str], ...]:
    """What it means for pair, list and refit until it is settled."""
    from inventory.pairing.candidate import PAIRED_KINDS
    from inventory.pairing.queries import mates

    until: list[tuple[str, str]] = []
    for best in mates(session, line.tag)[:1] if line.kind in PAIRED_KINDS else ():
        mate = best.unit if best.sensor == line.tag else best.sensor
        resting = max(best.reasons, key=lambda reason: len(set(reason.facts) & set(found.facts)), default=None)
        why = f": {resting.says}" if resting and set(resting.facts) & set(found.facts) else ""
        until.append((f"pair with {mate}", f"{best.grade}{why}"))
    refit = "not stopped; settle the whereabouts first" if found.place_open else "not stopped by this"
    return (*until, ("list", f'"{found.in_short}"'), ("refit", refit))


def _unfitting(
    session: Session, by: str, thing: str, head: str, found: Contradiction, until: tuple[tuple[str, str], ...]
) -> Unfitting:
    from inventory.facts.change import fact_row
    from inventory.facts.declare import declared
    from inventory.facts.views import views
    from inventory.store.days.zone import today_in

    today = today_in(session).isoformat()
    looks = found.looks if len(found.looks) <= _SAYINGS else (found.looks[0], *found.looks[1 - _SAYINGS :])
    facts = [views(session, [fact_row(session, look.fact)])[0] for look in looks]
    mine = [fact.by == by and fact.recorded_on == today for fact in facts]
    tags = declared(session).thing("part").names(session, [look.thing for look in looks])
    says = [
        f"{tags[look.thing]}: {fact.says}" if found.about.startswith(POSITION) else fact.says
        for look, fact in zip(looks, facts, strict=True)
    ]
    sayings = tuple(
        Saying(own, words, _source(fact, today)) for own, words, fact in zip(mine, says, facts, strict=True)
    )
    last = looks[-1]
    nouns = {SEAL: "look", LETTER: "reading", TEST: "test"}
    noun = next((noun for about, noun in nouns.items() if found.about.startswith(about)), "note")
    own = (last.fact, f'my "{last.says}" was wrong' if mine[0] else f"my {noun} was wrong") if mine[-1] else None
    ways = tuple(_way(answer, looks[0], last, own, noun) for answer in found.settle)
    return Unfitting(thing, found.about, head, sayings, found.counts, until, ways, (last.says, last.on))


def _source(fact: FactView, today: str) -> str:
    if fact.on != today or fact.recorded_on != today:
        return source_words(fact)
    known = f", {fact.known}" if fact.known else ""
    return f"today {clock_time(fact.recorded)}, {fact.by}{known}"


def _way(answer: str, first: Look, last: Look, own: tuple[str, str] | None, noun: str) -> Way:
    """An answer as it is shown.

    `own`: the later look's fact and its words, if the person working wrote it today. `noun`: what a look is here.
    """
    why = Further("why", "Why was it wrong?")
    if answer == RENEWED:
        paper = Further("paper", "The specialist's paper, a file?", "none: then disturbed")
        return Way(answer, "renewed by a specialist", "asks for the paper", (paper,))
    if answer == ANOTHER_SEAL:
        which = Further("which", "Which seal was it?", "not known which")
        return Way(answer, "it was another seal", "asks which one", (which,))
    if answer == EARLIER_WRONG:
        proof = Further("paper", "A picture or paper that shows it, a file?", "none")
        return Way(answer, _wrong(first, last, noun), "asks why; both stay on the list", (why, proof))
    if answer == MINE_WRONG and own:
        return Way(answer, own[1], "takes back today's entry", (), own[0])
    if answer == MINE_WRONG:
        return Way(answer, _wrong(last, first, noun), "asks why; both stay on the list", (why,))
    if answer == NOT_NOW:
        return Way(answer, answer, "stays on Today, not asked again")
    if answer == BETWEEN:
        what, ask = _between(first)
        part = first.says.partition(" ")[0]
        who = part if is_tag(part) else "it"
        return Way(answer, f"both are right: {who} {what} between", "asks when", (Further("why", ask, "not known"),))
    return Way(answer, answer, "asks why", (Further("why", "Why?", "no reason given"),))


def _between(first: Look) -> tuple[str, str]:
    """What happened after the first of two facts if both are so, and the question when."""
    table = first.fact.partition("-")[0]
    if table == "provenance":
        return "came back", "When did it come back, and how?"
    if table == "removal":
        return "was fitted again", "When was it fitted again, and by whom?"
    return "came off", "When did it come off, and who took it off?"


def _wrong(look: Look, other: Look, noun: str) -> str:
    return f"the {noun} of {short_day(look.on)} was wrong" if look.on != other.on else f'"{look.says}" was wrong'


def settle(session: Session, by: str, found: Unfitting, way: Way, given: dict[str, str], folder: Path) -> str:
    """Write the answer; return what to say. `given`: the further answers; `folder`: where files are."""
    from inventory.contradictions import actions
    from inventory.facts.change import withdraw
    from inventory.seals.actions import settle_as_another_seal

    if way.takes_back:
        withdraw(session, by, way.takes_back, way.says)
        return f"Taken back: {way.says}. It stays in the log. Ctrl+Z restores it."
    which, paper = given.get("which", ""), given.get("paper", "")
    document = folder / Path(paper).expanduser() if paper else None
    if which:
        settle_as_another_seal(session, by, found.thing, found.about, which, found.later[0], on=found.later[1])
    else:
        why = given.get("why")
        actions.settle(session, by, found.thing, found.about, way.answer, why=why, document=document)
    if way.answer == NOT_NOW:
        return "It stays open and is on Today. Ctrl+Z takes it back."
    if way.answer == RENEWED and document is None:
        return "Renewed without a paper: counts as disturbed. Ctrl+Z takes it back."
    if document is not None:
        return f"Settled, with {document.name}. Ctrl+Z takes it back."
    noted = f", and {which} {found.later[0]} is noted" if which else ""
    return f"Settled by word: both stay on card and list{noted}. Ctrl+Z takes it back."
