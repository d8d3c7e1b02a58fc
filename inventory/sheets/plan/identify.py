"""Which part on record each row of the sheets of parts is: by tag, serial, keeper's own number, then all it says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from sqlalchemy.orm import Session

from inventory.sheets.columns.own_numbers import same_but_zeros, without_zeros
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.plan.alike_rows import Told, alike_rows
from inventory.sheets.plan.duplicates import likely_duplicates
from inventory.sheets.plan.likely import Duplicate
from inventory.sheets.plan.match import (
    NEW,
    Matched,
    by_tag_or_serial,
    has_serial,
    index_of,
    may_be,
    number_of,
    resolve,
    twice_in_file,
)
from inventory.sheets.plan.on_record import (
    Identity,
    PartState,
    identities,
    own_numbers,
    states,
    told_identities,
    told_without_serial,
    without_serial,
    zeros_apart,
)
from inventory.sheets.plan.own import by_own_number
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.rows import Plan
from inventory.store.words.text import fold

__all__ = ["identify", "zeros_gone"]

#: So many serials of a sheet that lost their zeros are asked about one by one; more, all at once.
_ONE_BY_ONE = 3


def identify(
    session: Session,
    plan: Plan,
    rows: Sequence[PartCells],
    places: Sequence[tuple[str, int]],
    listed: Collection[int],
) -> list[Matched]:
    """The part of each row. `places`: sheet and number of each; `listed`: parts of the last versions of the sheets.

    What is asked, and serials that look like others, are noted in the plan.
    """
    tags = [cells.tag for cells in rows if cells.tag]
    on_record = identities(session, tags, [cells.serial_alike for cells in rows if cells.serial])
    found = by_tag_or_serial(rows, on_record)
    _by_told_serial(session, rows, found)
    _by_serial_without_zeros(session, plan, rows, places, found)
    if any(cells.own_number for cells in rows):
        numbered, says = by_own_number(rows, found, own_numbers(session))
        for place, match in numbered.items():
            found[place] = match
        plan.remarks += [says] if says else []
    found = twice_in_file(rows, found)
    _by_all_they_say(session, plan, rows, places, found, listed)
    matches = [match for match in found if match is not None]
    _flag_duplicates(plan, rows, places, matches, on_record)
    return matches


def _by_told_serial(session: Session, rows: Sequence[PartCells], found: list[Matched | None]) -> None:
    """Match rows that say of a part what its sheet said before somebody read it otherwise: it is no second part."""
    open_rows = [place for place, match in enumerate(found) if match is NEW and rows[place].tag is None]
    open_rows = [place for place in open_rows if has_serial(rows[place]) and not rows[place].another]
    told = index_of(told_identities(session, {rows[place].serial_key for place in open_rows}))
    taken = {match.part_id for match in found if match is not None}
    for place in open_rows:
        match = resolve(rows[place], told)
        if match is not None and match.part_id is not None and match.part_id not in taken:
            found[place] = match


def _by_serial_without_zeros(
    session: Session,
    plan: Plan,
    rows: Sequence[PartCells],
    places: Sequence[tuple[str, int]],
    found: list[Matched | None],
) -> None:
    """Match rows whose serial is on record but for zeros before it; asked, and taken as the same unless answered."""
    keys = {place: without_zeros(rows[place].serial_key) for place, match in enumerate(found) if match is NEW}
    keys = {place: key for place, key in keys.items() if has_serial(rows[place]) and key != "0"}
    if not keys:
        return
    known: dict[str, list[Identity]] = defaultdict(list)
    for part in zeros_apart(session, set(keys.values())):
        known[without_zeros(number_of(part.serial))].append(part)
    taken = {match.part_id for match in found if match is not None}
    same: dict[int, Identity] = {}
    for place, key in keys.items():
        several = [part for part in known.get(key, ()) if part.id not in taken and may_be(rows[place], part)]
        if len(several) == 1 and not rows[place].another and rows[place].tag is None:
            same[place] = several[0]
    tabs: dict[str, list[int]] = defaultdict(list)
    for place in same:
        tabs[places[place][0]].append(place)
    for tab, of_tab in tabs.items():
        groups = [[place] for place in of_tab] if len(of_tab) <= _ONE_BY_ONE else [of_tab]
        for group in groups:
            key = key_of("zeros", rows[group[0]].serial or "" if len(group) == 1 else tab)
            shown = [f'"{rows[place].serial}": {same[place].tag} has {same[place].serial}' for place in group]
            says = (
                f"only zeros are gone from a serial, {shown[0]}"
                if len(group) == 1
                else (f"only zeros are gone from {len(group)} serials of {tab}, such as {shown[0]}")
            )
            choices = Choice("same", "the same part"), Choice("another", "another part")
            at = tuple(places[place] for place in group)
            plan.questions.append(SheetQuestion(key, says, choices, at, "same", shown=tuple(shown[:5])))
            if plan.answers.said.get(key) != "another":
                found_here = {place: Matched(same[place].id) for place in group}
                for place, match in found_here.items():
                    found[place] = match


def zeros_gone(cells: PartCells, state: PartState) -> str:
    """What differs between a row and its part in nothing but zeros, which no row changes; "" for nothing."""
    for what, said, known in (
        ("serial", cells.serial, state.serial),
        ("part number", cells.part_number, state.part_number),
    ):
        if same_but_zeros(said, known):
            return f"the {what} {said} lacks only zeros of {known}, which stays"
    return ""


def _by_all_they_say(
    session: Session,
    plan: Plan,
    rows: Sequence[PartCells],
    places: Sequence[tuple[str, int]],
    found: list[Matched | None],
    listed: Collection[int],
) -> None:
    """Match the rows that are not matched yet."""
    open_rows = [place for place, match in enumerate(found) if match is None]
    if not open_rows:
        return
    cells = [rows[place] for place in open_rows]
    taken = {match.part_id for match in found if match is not None}
    kinds = [kind for kind in {each.kind for each in cells} if kind is not None]
    words = {each.kind_word: each.kind for each in cells if each.kind_word and "kind" not in each.as_written}
    above = {each.as_written["kind"] for each in cells if "kind" in each.as_written}
    instead = {each.serial_key for each in cells if each.serial_key}
    numbers = {number_of(each.part_number) for each in cells}
    free = [each for each in without_serial(session, kinds, {*words, *above}, instead) if each.id not in taken]
    as_told = {key: each for key, each in told_without_serial(session, kinds).items() if key not in taken}
    wanted = list(
        dict.fromkeys(each.id for each in (*free, *as_told.values()) if number_of(each.part_number) in numbers)
    )
    by_key = states(session, wanted)
    said = {(fold(each.maker or ""), number_of(each.part_number)) for each in cells}
    for key in by_key.keys() & as_told.keys():
        by_key[key] = _as_a_sheet_told(by_key[key], as_told[key], said)
    cells = [_as_kept(each, by_key.values()) if each.as_written else each for each in cells]
    told = Told(listed, plan.answers.said)
    parts = [_as_worded(by_key[key], words) for key in wanted]
    for place, match in zip(open_rows, alike_rows(cells, parts, told), strict=True):
        found[place] = match
    for question, asked in told.asked.values():
        at = tuple(places[open_rows[place]] for place in asked)
        plan.questions.append(SheetQuestion(question.key, question.says, question.choices, at))


def _as_a_sheet_told(part: PartState, told: Identity, said: Collection[tuple[str, str]]) -> PartState:
    """A part as a sheet told it, without the serial that we read since; maker and number, if no row has ours."""
    if (fold(part.maker or ""), number_of(part.part_number)) in said:
        return replace(part, serial=None)
    return replace(part, serial=None, kind=told.kind, maker=told.maker, part_number=told.part_number)


def _as_kept(cells: PartCells, parts: Collection[PartState]) -> PartCells:
    """A row whose words for "as above" were kept as text when a part was read from it, as it was read then."""
    words = {(column, text) for column, text in cells.as_written.items()}
    if not any(words <= {(column, text) for (_, column), (_, text) in part.unread.items()} for part in parts):
        return cells
    fields = {column.replace(" ", "_"): None for column in cells.as_written}
    kept = {name: "other" if name == "kind" else None for name in fields if hasattr(cells, name)}
    return replace(cells, **kept, unread={**cells.unread, **cells.as_written}, as_written={})  # type: ignore[arg-type]


def _as_worded(part: PartState, words: Mapping[str, str | None]) -> PartState:
    """A part in whose sheet a word stood for the kind, as of the kind that the word stands for in the rows."""
    word = next((text for (_, column), (_, text) in part.unread.items() if column == "kind"), "")
    return replace(part, kind=words[word]) if word in words else part


def _flag_duplicates(
    plan: Plan,
    rows: Sequence[PartCells],
    places: Sequence[tuple[str, int]],
    matches: Sequence[Matched],
    on_record: Sequence[Identity],
) -> None:
    for same in likely_duplicates(rows, matches, on_record):
        other = places[same.row] if same.row is not None else None
        plan.duplicates.append(Duplicate(*places[same.place], same.serial, same.other_serial, same.tag, other))
