"""What an owner's sheet must make of a record, cell by cell, and what of it is lost, wrong or guessed."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from inventory.parts.judgements import AWAY, LEFT
from tests.owners.owner import Cell, Line, Owner, Tab

__all__ = ["Counts", "judge", "not_changed", "parts_by_row", "seen_values", "wanted_total"]

#: Columns in which a value that the sheet does not give would be a guess.
_TOLD = ("maker", "part number", "serial", "match code", "own number", "place", "car", "value", "price", "acquired on")
_CURRENCIES = ("EUR", "USD", "GBP", "CHF")
_PLAIN_TARGET = re.compile(r" (?:EUR|USD|GBP|CHF)$")
_ROW = re.compile(r"written in .*?, ([^,]+), row (\d+)")


@dataclass
class Counts:
    """`rows`: of data. `rows_in`: with the parts that they must make. `lost`: cells found nowhere. `kept`: values that
    a person finds on the card, or in a row that is not in, but that no column has. `wrong`: columns that say something else. `guessed`: columns that say
    something though no cell gives it. Each with its place, for people.
    """

    rows: int = 0
    rows_in: int = 0
    lost: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    guessed: list[str] = field(default_factory=list)
    out: list[str] = field(default_factory=list)


def parts_by_row(cards: Iterable[Mapping[str, Any]]) -> dict[tuple[str, int], list[Mapping[str, Any]]]:
    """The cards of parts by the tab and row that first told of each."""
    found: dict[tuple[str, int], list[Mapping[str, Any]]] = {}
    for card in cards:
        rows = _ROW.findall(" ".join(fact["reason"] or "" for fact in card["markings"]))
        for tab, number in dict.fromkeys(rows):
            found.setdefault((tab, int(number)), []).append(card)
    return found


def seen_values(card: Mapping[str, Any]) -> dict[str, str]:
    """What a card says, by our columns; of dated facts the last. What it does not say is left out."""
    said = {
        name.replace("_", " "): card[name]
        for name in ("kind", "maker", "part_number", "serial", "match_code", "place", "car")
    }
    said["whose"] = card["whose"]
    if card["own_numbers"]:
        said["own number"] = card["own_numbers"][-1]["number"]
    if card["values"]:
        said["value"] = _money(card["values"][-1]["currency"], card["values"][-1]["amount"])
    came = [fact for fact in card["provenance"] if fact["how"] not in LEFT | AWAY]
    if came:
        said["price"] = _money(came[-1]["currency"], came[-1]["price"]) if came[-1]["price"] else ""
        said["acquired from"] = came[-1]["party"] or ""
        said["acquired on"] = "" if came[-1]["on"].startswith("..") else came[-1]["on"]  # some day before it was read
    looks = [fact for fact in card["markings"] if fact["how_known"] == "seen"]
    if looks:
        said["seen by"], said["seen on"] = looks[-1]["by"], looks[-1]["on"]
    return {name: value for name, value in said.items() if value}


def _money(currency: str, amount: str) -> str:
    return f"{currency} {Decimal(amount).normalize():f}"


def judge(
    owner: Owner,
    tabs: list[Tab],
    by_row: Mapping[tuple[str, int], list[Mapping[str, Any]]],
    told: str,
) -> Counts:
    """Compare a record with the truth. `told`: what the report and lists of the record say beside the cards."""
    counts = Counts()
    for tab in tabs:
        for line in tab.lines:
            if not line.is_data or tab.options.get("role") == "left":
                continue
            counts.rows += 1
            wanted, kept, typed = _wanted(owner, tab, line)
            cards = by_row.get((tab.name, line.number), [])
            _judge_row(counts, f"{tab.name} {line.number}", wanted, kept, typed, cards, told)
    data = {
        (tab.name, line.number)
        for tab in tabs
        for line in tab.lines
        if line.is_data and tab.options.get("role") != "left"
    }
    counts.guessed += [f"{tab} {number}: a part, of no row of parts" for tab, number in by_row.keys() - data]
    return counts


def wanted_total(owner: Owner) -> dict[str, str]:
    """What all that is ours is worth together, by currency: what the list must add up."""
    sums: dict[str, Decimal] = {}
    for tab in owner.version():
        for line in tab.lines:
            if not line.is_data or tab.options.get("role") == "left":
                continue
            wanted, *_ = _wanted(owner, tab, line)
            for part in wanted:
                if any(cell.sold for cell in line.cells):
                    continue
                if "value" in part and part.get("whose", "own") == "own":
                    currency, amount = part["value"].split()
                    sums[currency] = sums.get(currency, Decimal(0)) + Decimal(amount) * int(part.get("count", "1"))
    return {currency: f"{amount:.2f}" for currency, amount in sums.items()}


def not_changed(owner: Owner, line: Line, card: Mapping[str, Any]) -> list[str]:
    """The changes of next month's version that a card does not show."""
    seen, found = seen_values(card), []
    for tab in owner.tabs:
        for target, cell in zip(tab.targets, line.cells, strict=False):
            if cell.next is None:
                continue
            wanted = _arrives(owner, target, cell.next) or ""
            name = _PLAIN_TARGET.sub("", target)
            if not _same(name, seen.get(name, ""), wanted):
                found.append(f"{card['tag']}: {name} {seen.get(name)!r}, should be {wanted!r}")
    return found


def _wanted(owner: Owner, tab: Tab, line: Line) -> tuple[list[dict[str, str]], list[str], dict[str, str]]:
    """The parts that a row must make (by our columns), the texts that must be kept word for word, what was typed."""
    said: dict[str, str] = dict(line.section)
    kept: list[str] = []
    typed: dict[str, str] = {}
    for target, cell in zip(tab.targets, line.cells, strict=False):
        if cell.comment:
            kept.append(cell.comment)
        if not cell.typed or target in ("", "left"):
            continue
        value = _arrives(owner, target, cell)
        if target == "whose":
            said["whose"] = (
                cell.truth if cell.truth == "not known" else "own" if cell.truth == "nothing" else "not ours"
            )
            kept += [cell.shown] if said["whose"] == "not ours" else []
        elif value is None:
            kept.append(cell.shown)
        elif value:
            said[_PLAIN_TARGET.sub("", target)] = value
            typed[_PLAIN_TARGET.sub("", target)] = cell.shown
    if any(cell.sold for cell in line.cells):
        said.pop("place", None)
    return list(_parts(tab, said)), kept, typed


def _arrives(owner: Owner, target: str, cell: Cell) -> str | None:
    """The value of a cell in our words; "" if it says nothing; None if it is kept word for word."""
    if cell.truth in ("nothing", "none"):
        return "0" if target == "quantity" else ""
    if cell.truth == "kept" or target == "kept":
        return None
    if cell.truth is not None:
        return _amount(cell.truth, target, owner) if target.endswith(_CURRENCIES) else cell.truth
    if target == "kind":
        return owner.kinds[cell.typed.casefold()]
    if target.endswith(_CURRENCIES):
        return _amount(cell.shown, target, owner)
    return cell.day or cell.shown.removeprefix("'")


def _amount(text: str, target: str, owner: Owner) -> str:
    if text[:3].isalpha():
        return _money(*text.split())
    if owner.options["decimal"] == "comma" and "," in text:
        text = text.replace(".", "").replace(",", ".")
    return _money(target[-3:], text)


def _parts(tab: Tab, said: dict[str, str]) -> Iterator[dict[str, str]]:
    count = int(said.pop("quantity", "1"))
    if "pair" not in tab.options:
        if count:
            yield {**said, "count": str(count)}
        return
    second = {name: said.pop(f"{name} 2", "") for name in ("part number", "serial")}
    first = {name: said.get(name, "") for name in ("part number", "serial")}
    for kind, marks in zip(tab.options["pair"], (first, second), strict=True):
        if any(marks.values()):
            yield {**{name: value for name, value in {**said, **marks}.items() if value}, "kind": kind}


def _judge_row(
    counts: Counts,
    where: str,
    wanted: list[dict[str, str]],
    kept: list[str],
    typed: dict[str, str],
    cards: list[Mapping[str, Any]],
    told: str,
) -> None:
    """The row is in if each part that it must make is there and has the kind and the marks that it must have."""
    if any(part["kind"] == "hardware" for part in wanted):
        texts = [*kept, *(part["part number"] for part in wanted)]
        missing = [text for text in texts if _plain(text) not in _plain(told + json.dumps(cards, ensure_ascii=False))]
        counts.rows_in += not missing or len(missing) < len(texts)
        counts.lost += [f"{where}: {text}" for text in missing]
        return
    everywhere = _plain(json.dumps(cards, ensure_ascii=False))
    expected = sum(int(part.get("count", "1")) for part in wanted)
    if not wanted:
        counts.rows_in += not cards
        counts.out += [f"{where}: {len(cards)} parts, none expected"] if cards else []
        return
    if not cards or (len(cards) != expected and not (len(cards) == len(wanted) == 1)):
        counts.kept += [f"{where}: {name}, as the row is not in" for part in wanted for name in part]
        counts.out.append(f"{where}: {len(cards)} parts, {expected} expected")
        return
    counts.rows_in += 1
    for place, part in enumerate(wanted):
        card = _card_of(part, cards, place)
        seen = seen_values(card)
        part = {name: value for name, value in part.items() if name != "count"}
        for name, value in part.items():
            if _same(name, seen.get(name, ""), value):
                continue
            shown = f"{where}: {name} {value!r}, here {seen.get(name)!r}"
            texts = (value.split()[-1], typed.get(name, value))
            shelf = counts.kept if any(_plain(text) in everywhere + _plain(told) for text in texts) else counts.lost
            (counts.wrong if seen.get(name) else shelf).append(shown)
        counts.guessed += [
            f"{where}: {name} {seen[name]!r}"
            for name in _TOLD
            if name in seen
            and name not in part
            and not (name == "acquired on" and ("price" in part or "acquired from" in part))
        ]
    counts.lost += [
        f"{where}: {text!r}" for text in kept if _plain(text) not in everywhere and _plain(text) not in _plain(told)
    ]


def _card_of(part: Mapping[str, str], cards: list[Mapping[str, Any]], place: int) -> Mapping[str, Any]:
    same = [card for card in cards if card["kind"] == part["kind"]]
    return same[0] if same else cards[min(place, len(cards) - 1)]


def _same(name: str, seen: str, wanted: str) -> bool:
    if name == "place":  # a place has one spelling, the first
        return seen.casefold() == wanted.casefold()
    if wanted == "not ours":
        return seen not in ("", "own")
    return seen == wanted


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace('\\"', '"')).casefold()
