"""The lines of Today: what waits, first what could be lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.parts import load_lines as finding
from inventory.store.days.date_words import day_words
from inventory.teardown.load_open_cars import OpenCar, any_car, going_together, open_cars
from tui.drafts import Draft
from tui.words import clock_time, many, short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.counting.sheet import Counted
    from inventory.store.connection.readonly import Source
    from inventory.store.record import Record

__all__ = [
    "AT_MOST",
    "TodayLine",
    "Waiting",
    "count_open",
    "first_starts",
    "limits_beside",
    "lists_overtaken",
    "not_found",
    "overdue",
    "rows_to_mend",
    "undecided_runs",
    "values_old",
    "waiting",
    "what_does_not_fit",
]

#: The most lines that Today shows.
AT_MOST = 12
#: Of the contradictions so many have a line of their own.
_UNFITTING_SHOWN = 3


@dataclass(frozen=True)
class TodayLine:
    """One line of Today: the view it opens, the part, car or draft for it, its sentence, and more on the right.

    `about`: what of the part is asked, by the name of the contradiction (empty: all).
    """

    opens: str
    says: str
    of: str
    more: str = ""
    about: str = ""


@dataclass(frozen=True)
class Waiting:
    """The lines of Today. `empty`: the record has no car and no part. `whole`: what is slow to find is there too."""

    empty: bool
    lines: tuple[TodayLine, ...]
    whole: bool = False

    @property
    def heading(self) -> str:
        """The heading above the lines."""
        if self.empty:
            return "Nothing is written down here yet."
        if self.lines:
            return "What waits"
        found = "Nothing waits" if self.whole else "Looking for what waits"
        return f"{found}. Type to find a part; Space shows what you can do."


def waiting(source: Source, drafts: Sequence[Draft], counted: Counted | None = None) -> Waiting:
    """At most twelve lines: drafts and an open count, cars half taken apart, then those going back together."""
    if not drafts and not any_car(source) and not finding.find(source, (), limit=1).total:
        return Waiting(True, ())
    together = (
        TodayLine("refit car", f"{car}: {many(off, 'part')} to go back on", car) for car, off in going_together(source)
    )
    lines = (*map(_draft, drafts), *count_open(counted), *map(_half_stripped, open_cars(source)), *together)
    return Waiting(False, lines[:AT_MOST])


def limits_beside(record: Record) -> tuple[TodayLine, ...]:
    """The workshop's file beside the record, if it is not what the record goes by."""
    from inventory.record.write_limits import differs_from_record

    says = differs_from_record(record)
    return (TodayLine("limits", f"Limits: {says}", ""),) if says else ()


def what_does_not_fit(session: Session) -> tuple[TodayLine, ...]:
    """What on record cannot both be true, a line each; of many the first few, and how many more."""
    from inventory.contradictions.queries import contradictions_of

    found = [one for one in contradictions_of(session, remarks=False) if one.contradiction.open]
    counted = "Does not fit" if len(found) == 1 else f"Does not fit, {len(found):,} things"
    lines = [
        TodayLine("settle", f"{counted if not place else 'and'}: {one.found}", one.tag, about=one.contradiction.about)
        for place, one in enumerate(found[:_UNFITTING_SHOWN])
    ]
    if rest := found[_UNFITTING_SHOWN:]:
        lines.append(TodayLine("settle", f"and {len(rest):,} more: matchmark contradictions lists them", rest[0].tag))
    return tuple(lines)


def overdue(session: Session) -> tuple[TodayLine, ...]:
    """Parts that are sent or lent out and should be back."""
    from inventory.provenance.load_away import parts_away
    from inventory.store.days.zone import today_in

    late = [each for each in parts_away(session, today_in(session)) if each.overdue]
    return tuple(
        TodayLine(
            "part", f"Overdue: {each.tag} {each.kind or ''}, {each.how}{_with(each.text)}", each.tag, f"due {each.due}"
        )
        for each in late
    )


def rows_to_mend(session: Session) -> tuple[TodayLine, ...]:
    """The sheets of which rows could not be read, a line for each workbook that has them, the latest first."""
    from inventory.record.load_to_mend import to_mend

    found = to_mend(session)
    lines = [
        TodayLine("sheet", f"{many(each.rows, 'row')} to mend in {each.rejects}", each.rejects, f"from {each.file}")
        for each in found[:_UNFITTING_SHOWN]
    ]
    if rest := found[_UNFITTING_SHOWN:]:
        lines.append(TodayLine("sheet", f"and rows to mend of {many(len(rest), 'more sheet')}", ""))
    return tuple(lines)


def not_found(session: Session) -> tuple[TodayLine, ...]:
    """Parts that the last count did not find, a line each; of many the first few, and how many more."""
    from inventory.counting.queries import not_here

    found = sorted(not_here(session).values(), key=lambda each: (each.day, each.tag))
    lines = [
        TodayLine("part", f"Not here at {each.occasion}: {each.tag} {each.what}, {each.place}", each.tag, each.day)
        for each in found[:_UNFITTING_SHOWN]
    ]
    if rest := found[_UNFITTING_SHOWN:]:
        lines.append(TodayLine("part", f"and {len(rest):,} more: matchmark stocktake missing lists them", rest[0].tag))
    return tuple(lines)


def count_open(counted: Counted | None) -> tuple[TodayLine, ...]:
    """The count that was begun and not closed."""
    if counted is None or counted.closed is not None:
        return ()
    says = f"Count of {counted.of or 'everything'}: not closed, {many(len(counted.ticks), 'tick')}"
    return (TodayLine("count", says, "", f"begun {short_day(counted.begun[:10])}"),)


def lists_overtaken(session: Session) -> tuple[TodayLine, ...]:
    """Lists that were given out, since which something changed."""
    from inventory.condition_list.load_since import lists_overtaken as overtaken

    return tuple(
        TodayLine(
            "list out",
            f"List no. {each.number}, given to {each.to}: something was recorded since of {many(each.parts, 'part')}",
            each.audience,
            short_day(each.on),
        )
        for each in overtaken(session)[:_UNFITTING_SHOWN]
    )


def values_old(session: Session) -> tuple[TodayLine, ...]:
    """How many parts have only an old value."""
    from inventory.condition_list.held_on import old_before
    from inventory.store.days.zone import today_in
    from inventory.valuation.queries import old_values

    old = old_values(session, old_before(today_in(session)))
    return (TodayLine("worth", f"Value due: {many(old, 'part')} last valued more than 3 years ago", ""),) if old else ()


def _with(text: str | None) -> str:
    return f", {text}" if text else ""


def first_starts(session: Session) -> tuple[TodayLine, ...]:
    """The cars that are together again, with the next check of their first start."""
    from inventory.first_start.queries import first_starts_waiting

    return tuple(
        TodayLine("first start", f"{each.car}, {each.brief}", each.car) for each in first_starts_waiting(session)
    )


def undecided_runs(session: Session) -> tuple[TodayLine, ...]:
    """Undecided runs, with what would decide them. Judging them is slow, so they are read separately."""
    from inventory.bench.runs.queries import undecided

    return tuple(
        TodayLine("part", f"{tag} {run.procedure}: {run.judgement.says}", tag, short_day(run.fact.on))
        for tag, run in undecided(session)
    )


def _draft(draft: Draft) -> TodayLine:
    how = "left" if draft.left else "the program stopped"
    when = f"{how} {short_day(draft.saved[:10])} {clock_time(draft.saved)}"
    begins = {"bench:": "bench", "on:": "refit car", "list:": "belongs", "sheet:": "sheet"}
    opens = next((view for key, view in begins.items() if draft.key.startswith(key)), "")
    opens = opens or ("got" if draft.key == "got" else "strip")
    return TodayLine(opens, f'{draft.what}: not finished, stopped at "{draft.stopped_at}"', draft.key, when)


def _half_stripped(begun: OpenCar) -> TodayLine:
    last = f", last on {day_words(begun.last_on)}" if begun.last_on else ""
    says = f"{begun.car}: {many(begun.off, 'part')} off, {begun.still_on} still on{last}"
    return TodayLine("strip", says, begun.car, f"begun {short_day(begun.since)}")
