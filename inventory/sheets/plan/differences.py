"""What a row of parts says that the record does not say yet. Pure.

Empty cells say nothing. A row that says what is on record does not differ, whichever fact says it: so a file that is
read twice changes nothing the second time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from inventory.sheets.columns.cells import UNDATED, same_amount
from inventory.sheets.columns.own_numbers import number_key, same_but_zeros
from inventory.sheets.plan.on_record import Acquisition, PartState, Stated
from inventory.sheets.plan.part_cells import FROM_ITSELF, PartCells
from inventory.store.words.text import fold, squeeze

__all__ = [
    "NOTES_BETWEEN",
    "READ_NOW",
    "Change",
    "against",
    "changed_columns",
    "changed_own",
    "changed_unread",
    "differences",
    "is_new_look",
    "new_notes",
    "standing_acquisition",
    "standing_value",
    "without_car",
]

#: Separates the notes of a part in one cell.
NOTES_BETWEEN = "; "
#: What became of a text of a cell that could not be read before.
READ_NOW = "(read now)"


@dataclass(frozen=True, slots=True)
class Change:
    """One column in which a row differs: what is on record, and what the row says."""

    column: str
    old: str | None
    new: str


def differences(cells: PartCells, state: PartState) -> tuple[Change, ...]:
    """The columns in which a row differs from the record; the row's own columns last."""
    own = [Change(name, state.extra.get(name), text) for name, text in changed_own(cells, state).items()]
    anew, settled = changed_unread(cells, state)
    own += [Change(f"{column} as text", old[1] if old else None, text) for column, (old, text) in anew.items()]
    own += [Change(f"{column} as text", text, READ_NOW) for column, (_, text) in settled.items()]
    return (*_known(cells, state), *own)


def changed_unread(
    cells: PartCells, state: PartState
) -> tuple[dict[str, tuple[tuple[int, str] | None, str]], dict[str, tuple[int, str]]]:
    """The cells of a row that cannot be read and are not on record so, and those on record that can be read now.

    Both by column; of the former what stood there before (its key and text, or None) and the text; of the latter its
    key and text. What a sheet without that header said stays.
    """
    anew: dict[str, tuple[tuple[int, str] | None, str]] = {}
    if not cells.unread and not state.unread:
        return anew, {}
    known = {column: state.unread.get((fold(header), column)) for column, header in cells.headers.items()}
    for column, text in cells.unread.items():
        old = known.get(column)
        if old is None or old[1] != text:
            anew[column] = old, text
    return anew, {column: old for column, old in known.items() if old is not None and column not in cells.unread}


def changed_columns(cells: PartCells, state: PartState) -> frozenset[str]:
    """The known columns in which a row differs from the record; a row's own column may have the name of one of them."""
    return _shared(frozenset([change.column for change in _known(cells, state)]))


def changed_own(cells: PartCells, state: PartState) -> dict[str, str]:
    """What the row's own columns say that the record does not say yet."""
    kept = state.extra
    return {name: text for name, text in cells.extra.items() if kept.get(name) not in (text, text.replace("\n", " "))}


@lru_cache(maxsize=1024)
def _shared(columns: frozenset[str]) -> frozenset[str]:
    """A set of columns, kept once: most rows of a sheet change the same ones."""
    return columns


def _known(cells: PartCells, state: PartState) -> Iterator[Change]:
    if is_new_look(cells, state) and cells.look is not None:
        yield Change("seen by", None, cells.look[0])
        yield Change("seen on", None, cells.look[1].edtf)
    yield from (each for each in _markings(cells, state) if not _told_before(each, cells, state))
    yield from _looks(cells, state)
    yield from _whereabouts(cells, state)
    yield from _owning(cells, state)
    yield from _worth(cells, state)
    if cells.left is not None and cells.left.how not in state.left:
        yield Change("left", None, cells.left.says)


def _told_before(change: Change, cells: PartCells, state: PartState) -> bool:
    """Whether a sheet told the same of a mark before, which somebody has read otherwise since."""
    return cells.look is None and squeeze(change.new) in state.told_marks.get(change.column, ())


def is_new_look(cells: PartCells, state: PartState) -> bool:
    """Whether a row is somebody's look that is not on record yet."""
    return cells.look is not None and (fold(cells.look[0]), cells.look[1].edtf) not in {
        (fold(by), on) for by, on in state.looks
    }


def _markings(cells: PartCells, state: PartState) -> Iterator[Change]:
    for column, old, new in (
        ("kind", state.kind, cells.kind),
        ("maker", state.maker, cells.maker),
        ("date code", state.date_code, cells.date_code),
        ("marks", state.marks, cells.marks),
    ):
        if new is not None and new != old and not (column in cells.unread and state.id is not None):
            yield Change(column, old, new)
    for column, old, new in (
        ("part number", state.part_number, cells.part_number),
        ("serial", state.serial, cells.serial),
    ):
        if new is not None and (old is None or squeeze(new) != squeeze(old)) and not same_but_zeros(new, old):
            yield Change(column, old, new)
    own = [number_key(number) for number, _ in state.own_numbers]
    if cells.own_number is not None and number_key(cells.own_number) not in own:
        yield Change("own number", state.own_numbers[-1][0] if own else None, cells.own_number)
    if cells.serial_state not in (None, state.serial_state) and state.serial is None:
        yield Change("serial state", state.serial_state, cells.serial_state)
    recorded = (state.match_code, state.match_code_state)
    written = (state.letters, "read") if state.letters else recorded  # as our own sheet writes it
    unseen = cells.match_code == (None, "not looked at") and state.match_code_state is not None
    if cells.match_code is not None and cells.match_code not in (recorded, written) and not unseen:
        yield Change(
            "match code", state.match_code or state.match_code_state, cells.match_code[0] or cells.match_code[1]
        )
    coded = (cells.match_code or recorded)[1] is not None
    if cells.read_from is not None and coded and cells.read_from != (state.match_code_read_from or FROM_ITSELF):
        yield Change("match code read from", state.match_code_read_from, cells.read_from)


def _looks(cells: PartCells, state: PartState) -> Iterator[Change]:
    told = state.told_seals if cells.look is None else {}
    if cells.seal_state is not None:
        if cells.seal is not None:
            old = state.seals.get(cells.seal)
            if cells.seal_state not in (old, state.counted.get(cells.seal), told.get(cells.seal)):
                yield Change("seal state", old, cells.seal_state)
        elif cells.seal_state not in (*state.seals.values(), *state.counted.values(), *told.values()):
            yield Change("seal state", next(reversed(state.seals.values()), None), cells.seal_state)
    if cells.condition is not None and cells.condition not in (state.condition, state.told_condition):
        yield Change("condition", state.condition, cells.condition)


def _whereabouts(cells: PartCells, state: PartState) -> list[Change]:
    """What a row says of its part's whereabouts; without what sheets said before and what does not count."""
    found = [
        Change(column, old, new)
        for column, old, new in (
            ("car", state.car, cells.car),
            ("position", state.position, cells.position),
            ("place", state.place, cells.place),
        )
        if new is not None and (old is None or fold(old) != fold(new))
    ]
    told = {"car": state.told_cars, "place": state.told_places}
    if _against(found, cells, state):
        return [] if all(fold(each.new) in told.get(each.column, {fold(each.new)}) for each in found) else found
    if state.fitted:
        return found
    return [each for each in found if each.column != "place" or fold(each.new) not in state.told_places]


def without_car(cells: PartCells, state: PartState) -> str | None:
    """Why a row cannot be read whose position is on no car; None if it can."""
    return "a position needs the car it is on" if cells.position and cells.car is None and state.car is None else None


def against(cells: PartCells, state: PartState) -> str | None:
    """What on record does not fit where a row newly puts its part; None if all fits."""
    return _against(_whereabouts(cells, state), cells, state)


def _against(found: Sequence[Change], cells: PartCells, state: PartState) -> str | None:
    changed = {change.column for change in found}
    if state.gone and changed:
        return f"{state.tag} is on record as {state.gone}"
    if state.fitted and cells.car is None and "place" in changed:
        return f'{state.tag} is on record as fitted to the car "{state.car}", so it cannot lie at a place'
    if state.fitted and "car" in changed:
        return f'{state.tag} is on record as fitted to the car "{state.car}"'
    return None


def _owning(cells: PartCells, state: PartState) -> Iterator[Change]:
    unsure = cells.whose == "not known" and state.id is not None  # what is on record is more than that
    told = cells.whose in state.told_whose  # which somebody has said otherwise since
    if cells.whose is not None and cells.whose != state.whose and not unsure and not told:
        yield Change("whose", state.whose if state.id else None, cells.whose)
    if cells.acquired and not any(_same_acquisition(cells, each) for each in state.acquisitions):
        old = standing_acquisition(state)
        if cells.acquired_on is not None and (old is None or old.on != cells.acquired_on.edtf):
            day = old.on if old is not None and old.told != UNDATED else None
            yield Change("acquired on", day, cells.acquired_on.edtf)
        if cells.acquired_from is not None and fold((old and old.party) or "") != fold(cells.acquired_from):
            yield Change("acquired from", old.party if old else None, cells.acquired_from)
        if cells.price is not None and not (old and _same_money(cells.price, (old.price, old.currency))):
            yield Change("price", _money(old.price, old.currency) if old else None, _money(*cells.price) or "")


def standing_acquisition(state: PartState) -> Acquisition | None:
    """The acquisition that a row is written from and that a changed row supersedes: the last one."""
    return state.acquisitions[-1] if state.acquisitions else None


def _same_acquisition(cells: PartCells, fact: Acquisition) -> bool:
    return (
        (cells.acquired_on is None or cells.acquired_on.edtf == fact.on)
        and (cells.acquired_from is None or fold(cells.acquired_from) == fold(fact.party or ""))
        and (cells.price is None or _same_money(cells.price, (fact.price, fact.currency)))
    )


def _same_money(one: tuple[str | None, str | None], other: tuple[str | None, str | None]) -> bool:
    return one[1] == other[1] and same_amount(one[0], other[0])


def _money(amount: str | None, currency: str | None) -> str | None:
    return f"{currency} {amount}" if amount else None


def standing_value(cells: PartCells, state: PartState, *, told: bool = False) -> Stated | None:
    """The last value on record with the basis, day and currency of a row, as far as the row names them.

    `told`: the last of those that sheets told.
    """
    found = [
        each
        for each in state.values
        if (each.told or not told)
        and (cells.value_basis is None or each.basis == cells.value_basis)
        and (cells.value_on is None or each.on == cells.value_on.edtf)
        and (cells.value is None or each.currency == cells.value[1])
    ]
    return found[-1] if found else None


def _worth(cells: PartCells, state: PartState) -> Iterator[Change]:
    if cells.value is not None:
        old = standing_value(cells, state)
        told = standing_value(cells, state, told=True)
        if not any(each and same_amount(each.amount, cells.value[0]) for each in (old, told)):
            yield Change("value", _money(old.amount, old.currency) if old else None, _money(*cells.value) or "")
    fresh = new_notes(cells.notes, state.notes)
    if fresh is not None:
        yield Change("notes", NOTES_BETWEEN.join(state.notes) or None, fresh)


def new_notes(text: str | None, standing: list[str]) -> str | None:
    """What a cell of notes says beyond the notes on record: nothing, the text after them, or all of it."""
    if text is None or text in standing or text.replace("\n", " ") in standing:  # line breaks were lost before
        return None
    joined = NOTES_BETWEEN.join(standing)
    if text == joined:
        return None
    if standing and text.startswith(joined + NOTES_BETWEEN):
        return text[len(joined + NOTES_BETWEEN) :].strip() or None
    return text
