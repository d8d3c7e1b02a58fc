"""The data of a part's card: its sections, each a list of entries with the steps of their reasons."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from inventory.bench.runs.queries import RunView
from inventory.contradictions.load_remarks import load_remarks
from inventory.contradictions.looks import LETTER
from inventory.counting.queries import NotHere, not_here
from inventory.evidence.queries import Evidence, evidence_of
from inventory.facts.how_known import is_own
from inventory.facts.views import FactView, facts_of
from inventory.parts import queries
from inventory.provenance.load_stolen import load_stolen
from inventory.reference.load import cautions_for
from inventory.store.facts import NOW
from inventory.store.words.nothing import nothing_in
from tui.data.entries import CardData, Entry, Section, Step, source_words
from tui.data.history import history_entries
from tui.data.trust import run_entry, trust_entries
from tui.words import clock_time, listed, short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.parts.queries import PartLine

__all__ = ["card_of"]

#: Headings of the sections that every card has.
_OWN_HEADINGS = ("Where", "Measured", "Done", "From", "Worth", "Pictures")
_AT_THE_BENCH = ("hold", "resistance")


def card_of(session: Session, tag: str) -> CardData:
    """Everything that the card of this part shows."""
    part = queries.part_row(session, tag)
    (line,) = queries.lines(session, [part.id])
    every = facts_of(session, part.id, superseded=True)
    standing = [fact for fact in every if fact.superseded_by is None]
    evidence = evidence_of(session, part)
    remarks = [
        each for judge in (load_remarks, load_stolen) for each in judge(session, [part.id], NOW).get(part.id, ())
    ]
    cautions = [
        caution
        for step in _AT_THE_BENCH
        for caution in cautions_for(step, line.kind or "")
        if line.kind in caution.kinds
    ]
    return CardData(
        tag=line.tag,
        head=_head(line, standing, evidence),
        held=_held(line, evidence, not_here(session, [part.id]).get(part.id)),
        sections=(
            Section("Who", _who(line, standing), "Nobody has recorded what this part is."),
            Section("Trust", trust_entries(session, line, standing, evidence, remarks)),
            Section("Where", _under("Where", standing), "Neither a car nor a place is on record."),
            Section("Measured", _measured(evidence.runs), _never_measured(standing)),
            Section("Done", _under("Done", standing), "No work on record."),
            *(Section(heading, _under(heading, standing)) for heading in _further_headings(standing)),
            Section(
                "From",
                (*history_entries(part, standing), *_under("From", standing)),
                "No origin on record. By command: matchmark provenance note",
            ),
            Section("Worth", _worth(standing)),
            Section("Pictures", _under("Pictures", standing), "No picture or paper on record.", counted=True),
            Section("Log", tuple(_logged(fact) for fact in _newest_first(every)), counted=True),
        ),
        care=cautions[0].line if cautions else "",
        cautions_in_full=tuple(dict.fromkeys(caution.in_full for caution in cautions)),
    )


def _head(line: PartLine, standing: Iterable[FactView], evidence: Evidence) -> str:
    code = f"code {line.match_code}{_read_from(line, standing)}" if line.match_code else None
    if any(each.open and each.about == LETTER for each in evidence.contradictions):
        code = "code not clearly read"
    kind = (line.kind or "kind not known").upper()
    return listed(kind, line.maker, line.part_number, line.serial_told, code)


def _read_from(line: PartLine, standing: Iterable[FactView]) -> str:
    if nothing_in(line.match_code or ""):
        return " as written, no letter"
    if line.match_code_read_from:
        return f", from {line.match_code_read_from} only"
    read = [fact for fact in standing if fact.table == "marking" and fact.values.get("match_code") == line.match_code]
    own = any(is_own(fact) for fact in read)
    return ", read on the part" if own else ", from a sheet or word only"


def _held(line: PartLine, evidence: Evidence, missed: NotHere | None) -> str:
    whose = "Our own" if line.whose == "own" else line.whose.capitalize()
    if any(each.place_open for each in evidence.contradictions):
        return listed(whose, "Whereabouts: open (see Does not fit)")
    if line.gone:
        return listed(whose, f"Gone: {line.gone}")
    if line.fitted:
        return listed(whose, f"On the {line.car}, {line.position or 'no position noted'}")
    off = f"Off the {line.car}" if line.car else "Never on a car of ours"
    along = f"With {', '.join(line.as_one)}" if line.as_one else None
    stored = f"Stored in: {line.place or 'not said where'}{f', {missed.says}' if missed else ''}"
    return listed(whose, stored, off, along)


def _who(line: PartLine, standing: Iterable[FactView]) -> tuple[Entry, ...]:
    readings = [fact for fact in standing if fact.table in ("marking", "note")]
    named = (
        ("Label", line.tag),
        ("Kind", line.kind),
        ("Maker", line.maker),
        ("Number", line.part_number),
        ("Serial", line.serial or line.serial_state),
        ("Date code", line.date_code),
        ("Code", line.match_code or line.match_code_state),
        ("Marks", line.marks),
        *((name, value.replace("\n", " / ")) for name, value in line.extra.items()),
    )
    return (
        *(Entry(name, value, _behind(readings, value)) for name, value in named if value),
        *(_entry("Remark", fact) for fact in _newest_first(readings) if fact.table == "note"),
    )


def _behind(readings: Iterable[FactView], value: str) -> tuple[Step, ...]:
    """The facts that a marking rests on."""
    lines = tuple(f"{fact.says} ({source_words(fact)})" for fact in readings if value in map(str, fact.values.values()))
    return (Step(lines),) if lines else ()


def _under(heading: str, standing: Iterable[FactView]) -> tuple[Entry, ...]:
    """The facts under a heading, newest first."""
    facts = (fact for fact in _newest_first(standing) if fact.kind.section and fact.kind.section.heading == heading)
    return tuple(_entry(short_day(fact.on), fact) for fact in facts)


def _worth(standing: Iterable[FactView]) -> tuple[Entry, ...]:
    """The values, newest first, and the way to note one."""
    noted = _under("Worth", standing) or (Entry("Value", 'none noted. A list will say "no value stated", never 0.'),)
    return (*noted, Entry("Note a value", "Enter asks for amount, currency, basis and source", opens="note value"))


def _further_headings(standing: Iterable[FactView]) -> list[str]:
    """The headings of facts that do not belong to the card's own sections."""
    named = (fact.kind.section.heading for fact in standing if fact.kind.section)
    return [heading for heading in dict.fromkeys(named) if heading and heading not in _OWN_HEADINGS]


def _entry(name: str, fact: FactView) -> Entry:
    return Entry(name, fact.as_said, (_source_of(fact),))


def _source_of(fact: FactView) -> Step:
    """Who recorded a fact, when, how it is known, and what replaced it."""
    lines = [f"{fact.id}: {source_words(fact)}; recorded {short_day(fact.recorded_on)} {clock_time(fact.recorded)}"]
    if fact.told:
        lines.append(f'recorded as "{fact.told}"')
    if fact.reason and fact.reason != fact.source:
        lines.append(f"because: {fact.reason}")
    if fact.superseded_by:
        lines.append(f"no longer counts since {short_day(fact.superseded_on or '')}: replaced by {fact.superseded_by}")
    return Step(tuple(lines))


def _logged(fact: FactView) -> Entry:
    taken_back = "taken back: " if (fact.superseded_by or "").startswith("withdrawal-") else ""
    corrected = "corrected later: " if fact.superseded_by and not taken_back else ""
    return Entry(short_day(fact.recorded_on), f"{taken_back}{corrected}{fact.says} ({fact.by})", (_source_of(fact),))


def _newest_first(facts: Iterable[FactView]) -> list[FactView]:
    return sorted(facts, key=lambda fact: (fact.recorded, fact.id), reverse=True)


def _never_measured(standing: Iterable[FactView]) -> str:
    said = [fact for fact in standing if fact.table == "provenance" and "test" in str(fact.values.get("text") or "")]
    claim = ' The seller said "tested" and named no test.' if said else ""
    return f"Never measured here.{claim} Space B goes to the bench"


def _measured(runs: Iterable[RunView]) -> tuple[Entry, ...]:
    """The bench runs, newest first."""
    return tuple(reversed([run_entry(run, f"{run.procedure} {short_day(run.fact.on)}") for run in runs]))
