"""The items of a condition list as a table of cells: the sheet Items and the csv hold it.

"Not known" is written out; a dash stands for what does not apply.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from inventory.condition_list.cells import Cell, Column, day_cell, day_cells, money, value_note
from inventory.condition_list.item_values import ConditionSeen, Item, Mark, Seal, Seen
from inventory.condition_list.totals import NO_PREMISES, WITH_MATE
from inventory.condition_list.words import CLASSES, DASH, NOT_ASSESSED, NOT_KNOWN, VERDICTS
from inventory.contradictions.looks import LETTER, SEAL, TEST

__all__ = ["COLUMNS", "columns", "looks_in_short", "row_of"]

COLUMNS = (
    Column("No.", 5),
    Column("Tag", 10),
    Column("What", 16),
    Column("Maker", 13),
    Column("Part number", 15),
    Column("Serial", 16),
    Column("Date code", 9),
    Column("Match code", 12),
    Column("Code read from", 13),
    Column("Marks as read", 30, begins=True),
    Column("Measurements", 22),
    Column("Material", 16),
    Column("Features", 36),
    Column("Whose", 13, begins=True),
    Column("Where", 20),
    Column("Premises", 18),
    Column("Town", 12),
    Column("Place", 12),
    Column("Relation to its car", 30),
    Column("Last seen", 10.5, begins=True),
    Column("Seen earliest", 10.5),
    Column("Seen latest", 10.5),
    Column("Seen how, by", 24),
    Column("From", 20),
    Column("History", 30),
    Column("Looks", 18, begins=True),
    Column("Damage and circumstances", 27),
    Column("Looked at", 10.5),
    Column("Looks recorded", 10.5),
    Column("Complete", 15),
    Column("Stable", 12),
    Column("Class of the trade", 14),
    Column("Works", 34, begins=True),
    Column("Seals", 22),
    Column("Goes with", 22),
    Column("To note", 32),
    Column("Pictures", 9, begins=True),
    Column("Evidence no.", 14),
    Column("Counted", 9),
    Column("Heading", 20),
    Column("Why", 40),
    Column("Basis", 11),
    Column("Value", 12, begins=True),
    Column("Currency", 9),
    Column("Tax", 9),
    Column("For the pair with", 10),
    Column("This half alone", 12),
    Column("Value stated by", 18),
    Column("Valued on", 10.5),
    Column("Valued earliest", 10.5),
    Column("Valued latest", 10.5),
)
#: Where a part lies is for its owner only; a list for others names the premises.
_FOR_THE_OWNER = next(at for at, column in enumerate(COLUMNS) if column.title == "Place")


@cache
def columns(audience: str) -> tuple[Column, ...]:
    """The columns of a list for somebody: insurer or owner."""
    return COLUMNS if audience == "owner" else COLUMNS[:_FOR_THE_OWNER] + COLUMNS[_FOR_THE_OWNER + 1 :]


def row_of(item: Item, basis: str, audience: str) -> list[Cell]:
    """One item, a cell for each column."""
    row: list[Cell] = [item.number, item.tag, item.kind]
    row += [*_identity(item), *_described(item), *_where(item), *_seen(item), *_looks(item)]
    row += [_works(item), "; ".join(_seals(item)) or _nothing(item, "seals")]
    row += [item.goes_with or _nothing(item, "goes with"), "; ".join(item.remarks) or "nothing"]
    row += ["yes" if item.has_picture else "no", ", ".join(map(str, item.evidence_numbers)) or "none"]
    row += ["yes" if item.counted_in_total else "no", item.heading, item.why, basis, *_worth(item)]
    if audience != "owner":
        del row[_FOR_THE_OWNER]
    return row


def _identity(item: Item) -> list[Cell]:
    unfitting = next((each.found for each in item.contradictions if each.about == LETTER), None)
    letter = unfitting or item.match_code or item.match_code_state or _nothing(item, "match code")
    read_from = item.match_code_read_from or "the part itself"
    return [
        *(text or NOT_KNOWN for text in (item.maker, item.part_number, item.serial_told, item.date_code)),
        letter,
        read_from if item.match_code else DASH if letter == DASH else NOT_KNOWN,
    ]


def _described(item: Item) -> list[Cell]:
    """Marks word for word with where they sit, measurements, material, features."""
    what = item.description
    told = (what.measurements, what.material, what.features) if what else (None, None, None)
    marks = "; ".join(map(_mark, item.marks_verbatim)) or item.marks
    return [text or NOT_KNOWN for text in (marks, *told)]


def _mark(mark: Mark) -> str:
    beside = ", ".join(filter(None, (mark.sits, mark.told)))
    return f"{mark.what}: {mark.text}{f' ({beside})' if beside else ''}"


def _relation(item: Item) -> str:
    said = item.relation
    if said is None:
        return NOT_KNOWN
    told = ", ".join(text for text in (said.relation, said.car, said.says) if text)
    return f"{told} ({said.when.on}); against it: {said.against}" if said.against else f"{told} ({said.when.on})"


def _where(item: Item) -> list[Cell]:
    """Whose it is, where it is, where it is insured, and to which car it belongs."""
    where = item.where
    away = where.state == "away"
    place = where.place or (NOT_KNOWN if where.state == "loose" else DASH)
    premises = where.premises or (DASH if away else NO_PREMISES)
    town = where.town or (DASH if away else NOT_KNOWN)
    return [item.holder, where.says, premises, town, place, _relation(item)]


def _seen(item: Item) -> list[Cell]:
    """When it was last seen and how, how it came, and what became of it since."""
    seen = item.last_seen
    return [
        *day_cells(seen.when if seen else None),
        _seen_how(seen) if seen else NOT_KNOWN,
        f"{item.came} {item.came_when.on}" if item.came_when else item.came,
        item.history or NOT_KNOWN,
    ]


def _seen_how(seen: Seen) -> str:
    manner = "" if seen.manner in seen.how else f" ({seen.manner})"
    return f"{seen.how}{manner}, {seen.when.by}"


def _looks(item: Item) -> list[Cell]:
    """The class in words, damage and how it was looked at, when, complete, stable, the class of the trade."""
    looks = item.condition
    days: tuple[Cell, Cell] = (NOT_KNOWN, NOT_KNOWN)
    if looks is not None:
        days = day_cells(looks.when)[0], day_cell(looks.when.recorded_on)
    found = "; ".join(_circumstances(looks)) if looks is not None else NOT_ASSESSED
    return [looks_in_short(item), found, *days, item.complete, item.stable, item.trade_class]


def looks_in_short(item: Item) -> str:
    """The class with its words: the digit never stands alone."""
    looks = item.condition
    return NOT_ASSESSED if looks is None or looks.category is None else f"{looks.category}: {CLASSES[looks.category]}"


def _circumstances(looks: ConditionSeen) -> Iterator[str]:
    yield f"damage: {looks.damage or NOT_KNOWN}"
    for name, said in (("why", looks.why), ("light", looks.light), ("could not be seen", looks.unseen)):
        if said:
            yield f"{name}: {said}"
    if looks.opened:
        yield looks.opened
    yield looks.when.hearsay.removeprefix(", ") or f"by {looks.when.by}"


def _works(item: Item) -> str:
    """The last run of the test that decides; without one the tests that came out both ways."""
    run = item.works
    if run is None:
        return "; ".join(each.found for each in item.contradictions if each.about.startswith(TEST)) or NOT_KNOWN
    return f"{VERDICTS[run.verdict]} {run.procedure} on {run.when.on}: {run.sentence} ({run.when.by})"


def _seals(item: Item) -> Iterator[str]:
    """What each seal counts as; where two looks at it do not fit, both."""
    unfitting = {each.about: each.found for each in item.contradictions}
    for seal in item.seals_now:
        yield unfitting.get(f"{SEAL}{seal.seal}") or _seal(seal)


def _seal(seal: Seal) -> str:
    paper = ", with a paper" if seal.document else ", no paper" if seal.state == "renewed" else ""
    return f"{seal.seal} {seal.state} {seal.when.on}{paper}{seal.when.hearsay}"


def _worth(item: Item) -> list[Cell]:
    value, alone = item.value, item.value_alone
    half: Cell = DASH
    if alone is not None:
        half = f"{alone.currency} {money(alone)}"
    elif value is not None and value.with_tag:
        half = NOT_KNOWN
    if value is None:
        none = item.why if item.heading == WITH_MATE else "no value stated on this basis"
        return [none, *[DASH] * 3, half, *[DASH] * 4]
    return [
        money(value),
        value.currency,
        value.tax or NOT_KNOWN,
        value.with_tag or DASH,
        half,
        value_note(value),
        *day_cells(value.when),
    ]


def _nothing(item: Item, what: str) -> str:
    return DASH if what in item.does_not_apply else NOT_KNOWN
