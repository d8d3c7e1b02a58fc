"""Draws the schedule: every item in a row, by premises, with sums for premises and page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from inventory.condition_list.item_lines import DOES_NOT_APPLY, amount_of, symptoms, works_in_short
from inventory.condition_list.totals import WITH_MATE
from inventory.condition_list.values import ConditionList, Item
from inventory.condition_list.words import NOT_KNOWN
from inventory.condition_list.write_pdf_front import sums
from inventory.money import is_currency, total
from inventory.printed.write_paper import LEAST, Paper
from inventory.printed.write_table import Table, columns_for

__all__ = ["by_premises", "draw_schedule"]

_AWAY, _NOT_KNOWN = "Away from the premises", "Premises not known"
_READ = (
    "One row an item. Amounts in brackets are not added; the item's page says why. Symptoms: how it looks, "
    "class 0 to 3, no vehicle grade (see Terms)."
)
_TITLES = ("No.", "Tag", "What", "Maker, number", "Serial", "Whose", "Where", "Symptoms", "Works", "Value", "Stated")
_RIGHT, _FIRM = frozenset({"No.", "Value"}), frozenset({"No.", "Tag", "Value", "Stated"})
_WIDEST = 31.0


def draw_schedule(paper: Paper, drawn: ConditionList) -> None:
    """The schedule, from a new page on."""
    paper.add_page()
    paper.heading("Schedule of items")
    paper.words(_READ, LEAST, lines=0)
    paper.ln(1)
    if not drawn.items:
        paper.words("No items.", 10)
        return
    on_page: list[Item] = []

    def foot() -> str:
        said = _sum("On this page", on_page)
        on_page.clear()
        return said

    rows = {item.number: _cells(item) for item in drawn.items}
    columns = columns_for(paper, _TITLES, list(rows.values()), right=_RIGHT, firm=_FIRM, widest=_WIDEST)
    longest = paper.lines_of(_sum("On this page", drawn.items), LEAST, paper.epw)
    table = Table(paper, columns, foot=foot, foot_lines=len(longest) + 1)
    for place, items in by_premises(drawn.items).items():
        table.line(place)
        for item in items:
            table.row(rows[item.number])
            on_page.append(item)
        table.line(_sum(f"Subtotal: {place}", items), with_next=0)
    table.close()
    paper.ln(1)
    paper.words(_sum("All items", drawn.items), 10, bold=True, lines=0)


def by_premises(items: Iterable[Item]) -> dict[str, list[Item]]:
    """The items by the place of insurance: by name, then those away, then those of which it is not known."""
    found: dict[str, list[Item]] = defaultdict(list)
    for item in items:
        where = item.where
        named = ", ".join(filter(None, (where.premises, where.town)))
        found[_AWAY if where.state == "away" else named or _NOT_KNOWN].append(item)
    last = (_AWAY, _NOT_KNOWN)
    return {name: found[name] for name in sorted(found, key=lambda name: (name in last, name))}


def _cells(item: Item) -> Sequence[str]:
    where = item.where
    return (
        str(item.number),
        item.tag,
        item.kind,
        " ".join(filter(None, (item.maker, item.part_number))) or NOT_KNOWN,
        item.serial or item.serial_told or NOT_KNOWN,
        item.holder,
        f"on {where.car}" if where.state == "on a car" and where.car else where.state,
        symptoms(item),
        works_in_short(item),
        _value(item),
        item.value.when.on if item.value else DOES_NOT_APPLY,
    )


def _value(item: Item) -> str:
    if item.value is None:
        return "with its mate" if item.heading == WITH_MATE else "none stated"
    return amount_of(item.value) if item.counted_in_total else f"[{amount_of(item.value)}]"


def _sum(name: str, items: Sequence[Item]) -> str:
    """The items of a group, and what of them counts; each currency for itself."""
    counted = [item.value for item in items if item.counted_in_total and item.value is not None]
    amounts = total([(value.amount, value.currency) for value in counted if is_currency(value.currency)])
    many = "1 item" if len(items) == 1 else f"{len(items)} items"
    return f"{name}: {many}; counted: {sums(amounts) if amounts else 'no amount'}"
