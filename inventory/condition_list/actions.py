"""The condition list that an insurer asks for: made from the record as of a day, and written to a file.

Looking at a list leaves no trace. Writing it to a file makes its number and fingerprint a fact of the record; that it
was given to somebody is another fact (`given_out.actions.given`).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING, TypeAlias

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.condition_list.changes import changes_between
from inventory.condition_list.gaps import gaps_of, seen_lately
from inventory.condition_list.held_on import STALE_YEARS
from inventory.condition_list.load_later import later_than
from inventory.condition_list.load_people import for_reader
from inventory.condition_list.load_pictures import pictures_of
from inventory.condition_list.queries import CONDITION_LIST, gather
from inventory.condition_list.roles import Named
from inventory.condition_list.totals import security_of, totals_of
from inventory.condition_list.values import ConditionList, Front, Options
from inventory.condition_list.write_files import refuse_other_formats, write_file, write_list
from inventory.errors import Refused
from inventory.given_out.actions import next_number, paper_called, written
from inventory.given_out.anchors import RecordState
from inventory.given_out.load_checked import checked_state, problems_found
from inventory.given_out.queries import WrittenPaper, written_papers
from inventory.given_out.write_file import paper_file
from inventory.money import BASES, checked_currency
from inventory.people.actions import begin_act
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason
from inventory.reference.data import reference_of
from inventory.store.begin import RECORD_THING
from inventory.store.bulk import collector_resting
from inventory.store.days.zone import today_in
from inventory.store.facts import AsOf
from inventory.store.journal import entries as journal
from inventory.store.tables import LogHead
from inventory.store.words.names import one_of
from inventory.store.words.text import clean
from inventory.valuation.queries import policy, rates
from inventory.valuation.rates import converted

if TYPE_CHECKING:
    from inventory.condition_list.write_pdf_items import OnItem
    from inventory.store.record import Record

__all__ = [
    "FOR_INSURER",
    "FOR_OWNER",
    "ConditionList",
    "Decide",
    "checked",
    "condition_list",
    "drawn_again",
    "give_out",
    "with_changes",
    "write_list",
]

#: Says what becomes of texts that name somebody: the digests of those that stay.
Decide: TypeAlias = Callable[[Sequence[Named]], tuple[str, ...]]
FOR_OWNER = Options()
FOR_INSURER = Options("insurer")

_short = partial(shorten, width=70, placeholder="...")


def condition_list(
    session: Session,
    as_of: date | None = None,
    known_on: date | None = None,
    basis: str = "market",
    *,
    prepared_by: str | None = None,
    options: Options = FOR_OWNER,
    limits_now: bool = False,
) -> ConditionList:
    """The list as of a day, as known on a day (both default to today), valued on one basis. Writes nothing.

    It has the number that it would get if it were written. `options`: for whom, what becomes of names in texts (an
    insurer's list has them cut, unless `names` is "keep" or they are among `kept`), and the currency that the totals
    are converted to. `limits_now`: tests are judged by the limits of now, not by those in force on the day.
    """
    one_of("basis", basis, BASES)
    currency = checked_currency(options.currency) if options.currency else None
    now = today_in(session)
    day, known = as_of or now, known_on or now
    if max(day, known) > now:
        raise Refused("date-in-the-future", f"{max(day, known)} is in the future: today is {now}")
    with collector_resting():
        state = replace(AsOf.known(session, day, known, now), limits_now=limits_now)
        reference = reference_of(session, state)
        gathered = gather(session, state, day, basis, shelves=options.audience == "owner")
        items = gathered.items
        sums = totals_of(items, security_of(gathered.premises.values()))
        seen = seen_lately(items, day)
        gaps = gaps_of(items, seen, basis, reference, gathered.unread)
        drawn = ConditionList(
            number=next_number(session, CONDITION_LIST),
            as_of=day.isoformat(),
            known_on=known.isoformat(),
            basis=basis,
            prepared_by=prepared_by,
            items=items,
            totals=sums.counted,
            totals_by_tax=sums.by_tax,
            other_totals=sums.other,
            other_totals_by_heading=sums.by_heading,
            totals_proposed=sums.proposed,
            premises=sums.premises,
            largest_loss=sums.largest_loss,
            converted=converted(sums.counted, rates(session, state), currency) if currency else None,
            front=_front(session, state, prepared_by),
            left_out=tuple({"number": many, "reason": why} for why, many in sorted(gathered.left_out.items())),
            without_picture=sum(not item.has_picture for item in items),
            without_value=sums.without_value,
            seen_within_12_months=len(seen),
            stale_values=sums.stale,
            gaps=gaps,
            reasons=_rules(basis),
            options=replace(options, basis=basis, currency=currency),
            edition=reference.edition,
            limits=reference.limits if reference.taken else None,
            facts=gathered.digest,
            holders=gathered.holders,
            evidence=gathered.evidence,
            later=later_than(session, items, day, known, now),
        )
        return for_reader(session, drawn)


def drawn_again(session: Session, paper: WrittenPaper, audience: str = "") -> ConditionList:
    """A written list, drawn again from the record by its days and options; `audience`: for another reader.

    Of one that an older version wrote neither is known: it is drawn as of the day it was written, with the names in it.
    One that was written with a clock ahead may name days that are still to come: it is drawn as of today.
    """
    today = today_in(session)
    days = (date.fromisoformat(day or paper.written_on) for day in (paper.as_of, paper.known_on))
    as_of, known_on = (min(day, today) for day in days)
    said = json.loads(paper.options or "{}")
    options = Options(**{**said, "kept": tuple(said.get("kept", ()))})
    if audience:
        options = replace(options, audience=audience)
    drawn = condition_list(session, as_of, known_on, options.basis, options=options)
    return replace(drawn, number=paper.number)


def with_changes(session: Session, drawn: ConditionList, since: int | None = None) -> ConditionList:
    """The list with what changed since another one, by default the last that was given out; that one is replaced."""
    papers = written_papers(session, CONDITION_LIST)
    if since is None:
        since = max((each.number for each in papers if each.given or each.form == 1), default=None)
    if since is None:
        return drawn
    paper = paper_called(session, CONDITION_LIST, since)
    note = ""
    if paper.form == 1:
        note = f"list {since} was written by an older version; it was drawn again by today's rules"
    elif max(paper.as_of or "", paper.known_on or "") > (today := today_in(session).isoformat()):
        note = f"list {since} names a day after {today}: a clock was wrong; it was drawn again as of {today}"
    changes = changes_between(drawn_again(session, paper, drawn.options.audience), drawn, note)
    return replace(drawn, changes=changes, front=replace(drawn.front, replaces=since))


def checked(session: Session, drawn: ConditionList) -> ConditionList:
    """A list that is only looked at; of a record that does not fit it has neither number nor fingerprint."""
    problems = problems_found(session)
    return replace(drawn, number=0, unverified=len(problems)) if problems else drawn


def give_out(
    record: Record,
    by: str,
    path: Path,
    *,
    as_of: date | None = None,
    known_on: date | None = None,
    basis: str = "market",
    options: Options = FOR_OWNER,
    decide: Decide | None = None,
    since: int | None = None,
    overwrite: bool = False,
    unverified: bool = False,
    on_item: OnItem | None = None,
) -> ConditionList:
    """Make the list, write it to a file, and store its number and fingerprint in the record: all of it or nothing.

    If texts of an insurer's list name somebody and `options` do not say what becomes of them, `decide` is asked before
    anything is written; without it the list is refused. `since`: the list that changes are told from. `on_item`: told
    of each item of a pdf while it is drawn.
    The record's chains are checked first; where they do not fit it is refused, or with `unverified` written so marked,
    without number and fingerprint, and the record keeps nothing of it.
    An existing file is refused, unless `overwrite`; see `paper_file`.
    """
    refuse_other_formats(path)
    with paper_file(path, overwrite=overwrite) as file:
        name = clean(by) or "unknown"
        state = checked_state(record, CONDITION_LIST, unverified=unverified)
        with record.read() as session:
            size = session.scalar(select(LogHead.size))
            ready = condition_list(session, as_of, known_on, basis, prepared_by=name, options=options)
            ready = with_changes(session, ready, since)
        if ready.named and options.names == "as written":
            options = replace(options, names="cut", kept=_decided(ready.named, decide))
            size = None
        if state.problems:
            return _unverified(record, name, file.part, ready, options, since, state.problems)
        fits = state if state.anchor and state.anchor.size == size else None
        drawn = _written(record, name, file.part, ready, fits, options, since, on_item)
        file.on_record = f"list {drawn.number}"
    return drawn


def _decided(named: Sequence[Named], decide: Decide | None) -> tuple[str, ...]:
    if decide is not None:
        return decide(named)
    first, more = named[0], len(named) - 1
    whose = f"Item {first.item} ({first.tag}), {first.column}" if first.item else first.column.capitalize()
    others = f", and {more} more" if more else ""
    raise Refused(
        "names-in-texts",
        f'{whose}: "{_short(first.text)}" names somebody{others}',
        where=first.column,
        hint=f'--names keep, or --names cut ("{_short(first.cut)}")',
    )


def _written(
    record: Record,
    name: str,
    part: Path,
    ready: ConditionList,
    fits: RecordState | None,
    options: Options,
    since: int | None,
    on_item: OnItem | None,
) -> ConditionList:
    """Give a list its number and write it; checked and drawn again if the record has grown or `fits` is None."""
    with record.write() as session:
        journal.lock_things(session, [RECORD_THING])  # two lists made at once must not get the same number
        drawn, number = ready, next_number(session, CONDITION_LIST)
        if fits is None or fits.anchor is None or session.scalar(select(LogHead.size)) != fits.anchor.size:
            fits = checked_state(record, CONDITION_LIST)
            drawn = _again(session, name, ready, options, since)
        drawn = replace(drawn, number=number, **fits.as_dict())
        act = begin_act(session, "condition-list", name, RECORD_THING)
        drawn_so = {"as_of": drawn.as_of, "known_on": drawn.known_on, "options": drawn.check["Options"]}
        drawn_so["edition"] = drawn.edition
        written(
            session, act, RECORD_THING, CONDITION_LIST, drawn.number, drawn.fingerprint, anchor=fits.anchor, **drawn_so
        )
        write_file(part, drawn, pictures_of(session) if part.suffix.lower() == ".pdf" else None, on_item)
    return drawn


def _unverified(
    record: Record, name: str, part: Path, ready: ConditionList, options: Options, since: int | None, problems: int
) -> ConditionList:
    """Write a list of a record that does not fit, marked so."""
    with record.read() as session:
        drawn = ready if options == ready.options else _again(session, name, ready, options, since)
        drawn = replace(drawn, number=0, unverified=problems)
        write_file(part, drawn, pictures_of(session) if part.suffix.lower() == ".pdf" else None)
    return drawn


def _again(session: Session, name: str, ready: ConditionList, options: Options, since: int | None) -> ConditionList:
    days = date.fromisoformat(ready.as_of), date.fromisoformat(ready.known_on)
    drawn = condition_list(session, *days, ready.basis, prepared_by=name, options=options)
    return with_changes(session, drawn, since)


def _front(session: Session, state: AsOf, prepared_by: str | None) -> Front:
    """Who stands behind the list, by the facts on the policy; without them whoever draws it has prepared it."""
    said = policy(session, state)
    return Front(
        said.owner, said.preparer or prepared_by, said.capacity, said.insurer, said.number, said.until, said.checked_by
    )


def _rules(basis: str) -> tuple[Reason, ...]:
    """The rules behind the figures of the list."""
    return (
        Reason(
            f'the total counts our own parts that are here, loose or on a car that is not insured whole, on the basis "'
            f'{basis}"; amounts in different currencies, or on different bases, are never added',
            "a part on a car insured whole is listed but not added, or it would be counted twice",
        ),
        Reason(
            "two parts that were last valued as one pair count once, while both are listed under one heading; else "
            "each counts with what it is worth alone, if that was stated",
            "the amount of a pair is not the sum of two halves, and a half is not half of it",
        ),
        Reason(
            "an agreed value without a paper, or without an insurer or policy on record, is a proposal of the owner, "
            "in no other total",
            "agreed is what the insurer has agreed to in writing",
        ),
        Reason(
            "the largest loss at one place counts what is in the total and whose premises are known; a pair kept at "
            "two premises counts at both",
            "with one half lost, the pair is",
        ),
        Reason(
            f"a value older than {STALE_YEARS} years on the day of the list is counted and marked as old",
            f"older than {STALE_YEARS} years",
            "no source",
            WORKSHOP,
        ),
        Reason(
            "condition classes 0 to 3 are borrowed from EN 16096, the standard for built heritage",
            "borrowed: the standard for movable objects, EN 16095, gives no classes in its scope, all we saw of it",
            "EN 16096:2012 (its words from memory); EN 16095:2012 (its scope only)",
            FROM_MEMORY,
        ),
    )
