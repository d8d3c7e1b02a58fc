"""What a car needs to go together again: used, needed, in stock, to buy. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from inventory.hardware.compare import Standin, stands_for
from inventory.hardware.item import RUBBER, Item
from inventory.hardware.parse import items, parse
from inventory.hardware.rubber import NOT_NOTED, Age, store_age
from inventory.reference.fasteners import fasteners

__all__ = ["HoseToRenew", "Line", "OffPart", "Stock", "lines_of", "stock_of"]

_FUEL_HOSE = "fuel hose"


@dataclass(frozen=True)
class HoseToRenew:
    """Why the fuel hose of a part is to be renewed. `sure`: it is over age; else its age is not known."""

    why: str
    sure: bool


@dataclass(frozen=True)
class OffPart:
    """A part that is off and goes back: where, with what it was held, what broke; the texts are as logged."""

    position: str
    tag: str
    bag: str | None = None
    fasteners: str | None = None
    mounts: str | None = None
    connections: str | None = None
    broken: str | None = None
    hose: HoseToRenew | None = None

    @property
    def at(self) -> str:
        """Its position; the tag of a part without one."""
        return self.position or self.tag


@dataclass
class Stock:
    """So many of one thing at a place. `left`: what no line has taken yet."""

    place: str
    item: Item
    count: int
    batch: str | None = None
    cured: str | None = None
    on: str = ""
    fact: str = ""
    left: int = field(init=False)

    def __post_init__(self) -> None:
        self.left = self.count

    def age(self, today: date) -> Age | None:
        """What there is to say of the age of its rubber, if anything."""
        if self.item.family not in RUBBER:
            return None
        return store_age(self.cured, self.item.material, today) if self.cured else NOT_NOTED


@dataclass
class Line:
    """One thing that the car uses. `critical`: at brakes, steering, belts or the fuel rail.

    `used`: all positions together. `needed`: broken, lost, to be renewed, or not known to lie in a bag or to be young
    enough; `unsure` counts these last two. `why`: what there is to say of a need, by position. `places`: where it is in
    stock, how many, what to look at; `near`: what does not count, and why.
    """

    item: Item
    critical: bool
    used: int = 0
    needed: int = 0
    unsure: int = 0
    needs: dict[str, int] = field(default_factory=dict)
    why: dict[str, str] = field(default_factory=dict)
    uses: dict[str, int] = field(default_factory=dict)
    bags: list[str] = field(default_factory=list)
    written: list[str] = field(default_factory=list)
    places: list[tuple[Stock, int, tuple[str, ...]]] = field(default_factory=list)
    near: list[tuple[Stock, int, tuple[str, ...]]] = field(default_factory=list)

    def add(
        self, item: Item, at: str, used: int, needed: int, *, unsure: bool = False, bag: str = "", why: str = ""
    ) -> None:
        """Count what a part at a position uses and needs of it. `bag`: where those lie that are not needed."""
        self.used += used
        self.needed += needed
        self.unsure += needed if unsure else 0
        if item.written not in self.written:
            self.written.append(item.written)
        if used:
            self.uses[at] = self.uses.get(at, 0) + used
        if needed:
            self.needs[at] = self.needs.get(at, 0) + needed
            self.why |= {at: why} if why else {}
        if bag and used > needed and bag not in self.bags:
            self.bags.append(bag)

    @property
    def in_stock(self) -> int:
        """How many in stock may be used here, after other lines took theirs."""
        return sum(count for _, count, _ in self.places)

    @property
    def to_buy(self) -> int:
        """How many must be bought."""
        return max(0, self.needed - self.in_stock)

    @property
    def look_first(self) -> bool:
        """Whether nobody knows that any of it must be bought."""
        return bool(self.to_buy) and self.needed == self.unsure

    @property
    def needed_for(self) -> str:
        """The positions that need it, each with why, if there is something to say."""
        return "; ".join(f"{at} ({self.why[at]})" if at in self.why else at for at in self.needs)

    @property
    def flags(self) -> tuple[str, ...]:
        """What is doubtful about it."""
        critical = ("never weaker or stainless here",) if self.critical and self.item.family not in RUBBER else ()
        return (*self.item.flags, *critical)

    def as_dict(self) -> dict[str, Any]:
        """The object in `lines` of `refit hardware`."""
        return {
            "spec": self.item.spec,
            "needed": self.needed,
            "in_stock": self.in_stock,
            "to_buy": self.to_buy,
            "for": list(self.needs or self.uses),
            "why": self.why,
            "used": self.used,
            "used_at": self.uses,
            "unsure": self.unsure,
            "bags": self.bags,
            "places": [_place(*each) for each in self.places],
            "near": [_place(*each) | {"spec": each[0].item.spec} for each in self.near],
            "understood": self.item.understood,
            "written": self.written,
            "flags": list(self.flags),
        }


def _place(stock: Stock, count: int, says: tuple[str, ...]) -> dict[str, Any]:
    return {"place": stock.place, "count": count, "says": list(says)}


def lines_of(parts: Iterable[OffPart], stock: Sequence[Stock], today: date) -> list[Line]:
    """What some parts need to go back on, and where it lies; first what must be bought, then by what it is.

    Screws lie in the bag of their part, if it has one; mounts stay on the part, hoses on the car. So only what is
    broken, lost or to be renewed is needed of those, and fuel hoses that are over age or may be.
    Stock is given out once, first where the class matters.
    """
    lines: dict[tuple[str, bool], Line] = {}
    for part in parts:
        _add_part(lines, part)
    for line in sorted(lines.values(), key=lambda each: (not each.critical, not each.item.klass)):
        _give_out(line, stock, today)
    return sorted(lines.values(), key=_order)


def _order(line: Line) -> tuple[Any, ...]:
    return not line.to_buy, not line.needed, not line.item.understood, line.item.family, line.item.key


def _add_part(lines: dict[tuple[str, bool], Line], part: OffPart) -> None:
    critical = fasteners().is_critical(part.position)
    here: list[Item] = []

    def add(item: Item, used: int, needed: int, **more: Any) -> None:
        plain = item.alone
        lines.setdefault((plain.key, critical), Line(plain, critical)).add(item, part.at, used, needed, **more)

    broken = list(items(part.broken))
    for source in ("fasteners", "mounts", "connections"):
        for item in items(getattr(part, source)):
            if source == "connections" and item.family not in RUBBER and not item.state:
                continue  # plugs stay with the car
            count, again = item.count or 1, any(each.key == item.key and not each.state for each in here)
            if item.state:
                add(item, 0 if again else count, count)
            else:
                gone = sum(each.count or 1 for each in broken if _is_one_of(each, item))
                lost = source == "fasteners" and not part.bag
                old = part.hose if source == "connections" and item.family == _FUEL_HOSE else None
                needed = max(0, count - gone) if lost or old else 0
                unsure, why = (not old.sure, old.why) if old else (lost, "")
                add(item, count, needed, unsure=unsure, bag=(part.bag or "") if source == "fasteners" else "", why=why)
            here.append(item)
    if part.hose and not any(item.family == _FUEL_HOSE for item in (*here, *broken)):
        add(parse(_FUEL_HOSE), 1, 1, unsure=not part.hose.sure, why=part.hose.why)
    for item in broken:
        meant = next((each for each in here if _is_one_of(item, each)), None)
        add(meant or item, 0 if meant else item.count or 1, item.count or 1)


def _is_one_of(broken: Item, item: Item) -> bool:
    """Whether what broke, perhaps only "stud" or "hose", is one of these."""
    if broken.understood or not broken.family:
        return broken.key == item.key
    return item.family == broken.family or (broken.family == "hose" and item.family.endswith("hose"))


def _give_out(line: Line, stock: Sequence[Stock], today: date) -> None:
    """Say where a line's thing lies, and take what it needs: first what is the same."""
    found: list[tuple[Stock, Standin]] = []
    for each in stock:
        if each.count:
            stands = stands_for(each.item, line.item, critical=line.critical)
            if stands.word != "no" or stands.says:
                found.append((each, stands))
    wanted = line.needed
    for each, stands in sorted(found, key=lambda pair: pair[1].word != "same"):
        age = each.age(today)
        says = (*stands.says, *((age.says,) if age else ()))
        if not stands.counts or (age and age.over):
            line.near.append((each, each.left, says))
        elif each.left:
            line.places.append((each, each.left, says))
            taken = min(wanted, each.left)
            each.left -= taken
            wanted -= taken


def stock_of(place: str, spec: str, count: int, **more: Any) -> Stock:
    """Stock from how it is written; its cure date may be in the text."""
    item = parse(spec)
    return Stock(place, item.alone, count, **{**more, "cured": more.get("cured") or item.cured or None})
