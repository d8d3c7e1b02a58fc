"""What is missing in a part's history, and what cannot have been so: gaps, overlaps, impossible orders. Pure.

Each names its lane. They are remarks: they lower nothing and stop nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any

from inventory.contradictions.date_codes import made_in
from inventory.facts.how_known import is_own
from inventory.history.lanes import HERE, NOT_KNOWN, Event, Lane
from inventory.store.words.text import fold

__all__ = ["GAP", "ORDER", "OVERLAP", "Trouble", "troubles_of"]

GAP, OVERLAP, ORDER = "gap", "overlap", "impossible order"


@dataclass(frozen=True)
class Trouble:
    """Something missing or impossible in one lane; `facts`: the ids of the facts between which it lies."""

    lane: str
    sort: str
    says: str
    facts: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return asdict(self)


def troubles_of(lanes: Sequence[Lane], looks: Iterable[Any], date_code: str | None) -> tuple[Trouble, ...]:
    """What is missing or impossible in the lanes of a part.

    `looks`: views of facts by which somebody may have seen it. `date_code`: the last one read on it.
    """
    title, custody, use = lanes
    own = sorted((fact for fact in looks if is_own(fact)), key=lambda fact: fact.earliest)
    return (
        *_of_title(title.events),
        *_of_custody(custody.events, own),
        *_of_use(use.events),
        *_made_later(lanes, date_code),
    )


def _of_title(events: Sequence[Event]) -> Iterator[Trouble]:
    if not events:
        yield Trouble("title", GAP, "nothing says how it came here", ())
        return
    first = events[0]
    if first.holder == HERE and not first.giver and first.what not in ("found", "came with a car"):
        yield Trouble("title", GAP, f"{first.what} {first.when}: from whom is not known", (first.fact,))
    yield Trouble("title", GAP, f"nothing before {first.when}", (first.fact,))
    for one, then in pairwise(events):
        both = (one.fact, then.fact)
        if _same(one.holder, HERE) and _same(then.holder, HERE):
            yield Trouble(
                "title",
                OVERLAP,
                f"{one.what} {one.when} and {then.what} {then.when}, and nothing says that it left",
                both,
            )
        elif then.giver and not _same(one.holder, then.giver):
            between = f"between {one.when} and {then.when}"
            yield Trouble("title", GAP, f"{between}: how it went from {one.holder} to {then.giver} is not known", both)


def _of_custody(events: Sequence[Event], own: Sequence[Any]) -> Iterator[Trouble]:
    here = [event for event in events if event.holder == HERE]
    if here and own and own[0].latest < here[0].earliest:
        says = f"seen here on {own[0].on}, but it {_came(here[0])} {here[0].when}"
        yield Trouble("custody", ORDER, says, (own[0].id, here[0].fact))
    for place, event in enumerate(events):
        before = events[place - 1] if place else None
        if event.what in ("came back", "found again") and (before is None or before.holder == HERE):
            yield Trouble(
                "custody", GAP, f"{event.what} {event.when}, but nothing says that it had gone", (event.fact,)
            )
        if event.giver == HERE and before is not None and before.holder != HERE:
            says = f"{before.says} {before.when} and {event.says} {event.when}, and nothing says that it was back"
            yield Trouble("custody", OVERLAP, says, (before.fact, event.fact))
        if event.holder == HERE:
            continue
        then = events[place + 1] if place + 1 < len(events) else None
        seen = [fact for fact in own if fact.earliest > event.latest and (then is None or fact.latest < then.earliest)]
        if seen:
            says = f"{event.says} {event.when}; seen here again on {seen[0].on}, and nothing says how it came back"
            yield Trouble("custody", GAP, says, (event.fact, seen[0].id))


def _of_use(events: Sequence[Event]) -> Iterator[Trouble]:
    for one, then in pairwise(events):
        both = (one.fact, then.fact)
        if not one.ends and not then.ends and one.fact != then.fact:
            says = (
                f"fitted to {one.holder} {one.when} and to {then.holder} {then.when}, and nothing says that it came off"
            )
            yield Trouble("use", OVERLAP, says, both)
        elif not one.ends and then.ends and not _same(one.holder.partition(" / ")[0], then.holder.partition(" / ")[0]):
            says = f"fitted to {one.holder} {one.when}, but it came off {then.holder} {then.when}"
            yield Trouble("use", GAP, says, both)
        elif one.ends and then.ends:
            says = f"came off {one.holder} {one.when} and {then.holder} {then.when}: when it was fitted is not known"
            yield Trouble("use", GAP, says, both)


def _made_later(lanes: Iterable[Lane], date_code: str | None) -> Iterator[Trouble]:
    """Events before the year in which the date code says that it was made."""
    made = made_in(date_code) if date_code else None
    if made is None:
        return
    for lane in lanes:
        for event in lane.events:
            if int(event.latest[:4]) < made:
                says = f"{event.says} {event.when}, but its date code {date_code} says that it was made in {made}"
                yield Trouble(lane.name, ORDER, says, (event.fact,))


def _same(one: str, other: str) -> bool:
    return NOT_KNOWN not in (one, other) and fold(one) == fold(other)


def _came(event: Event) -> str:
    return "came back" if event.what == "came back" else f"came ({event.what})"
