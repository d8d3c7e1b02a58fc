"""What the record says of a part beyond its identity: marks, description, condition, history, relation. Pure.

Facts come as rows with their columns and `table`; `say` makes the statement of a fact: when, who, how known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias

from inventory.condition_list.values import ConditionSeen, Description, Mark, Relation, Run, Statement
from inventory.contradictions.date_codes import last_year_of, made_in
from inventory.facts.how_known import TOLD, WRITTEN, told_by
from inventory.facts.order import by_day, in_order, timeless
from inventory.parts.judgements import AWAY, Identity, ours_last
from inventory.store.words.nothing import nothing_in

__all__ = [
    "completeness",
    "condition",
    "description",
    "history",
    "manner",
    "marks",
    "relation",
    "stability",
    "trade_class",
]

_Facts: TypeAlias = Mapping[str, Sequence[Any]]
_Say: TypeAlias = Callable[[Any], Statement]

NOT_KNOWN = "not known"
#: How a fact of a table shows that the part was seen; facts of other tables: somebody had it in the hand.
_MANNERS = {"attachment": "picture", "bench_run": "test", "count_line": "count"}
_MARKS = {
    "maker": "maker",
    "part number": "part_number",
    "serial": "serial",
    "date code": "date_code",
    "match code": "match_code",
    "marks": "marks",
}
_DESCRIBED = ("measurements", "material", "features", "marks_sit")
#: The most events that the history of a part names.
_MOST_EVENTS = 8


def manner(fact: Any) -> str:
    """How a fact shows that the part was seen: picture, test, count, a sheet's row that names who looked, in the hand.

    `fact` has `table` and `reason`, which says where a sheet's row is written.
    """
    if (fact.reason or "").startswith("written in "):
        return "written in a sheet"
    return _MANNERS.get(fact.table, "in the hand")


def description(facts: _Facts, until: str, say: _Say) -> Description | None:
    """The last that was said of each of a part's features; what was measured later held before."""
    told = timeless(facts.get("object_description", ()), until)
    if not told:
        return None
    last = {name: next((text for fact in reversed(told) if (text := getattr(fact, name))), None) for name in _DESCRIBED}
    return Description(**last, when=say(told[-1]))


def marks(
    part: Identity, sit: str | None, letter: str | None, numbered: Sequence[Any] = (), readings: Sequence[Any] = ()
) -> tuple[Mark, ...]:
    """Numbers and marks verbatim. `letter`: what was read of the match code if its readings do not fit.

    `readings`: the facts that say what is marked on it; what only a sheet or passport says is told as such.

    `numbered`: the facts that a keeper gave it a number; what it stood under is where it sits.

    `sit`: where they sit: all of them, or "serial: on the flange; part number: on the cover".
    """
    places = dict(each.split(":", 1) for each in sit.split(";") if ":" in each) if sit else {}
    of_each = {what.strip().casefold(): place.strip() for what, place in places.items()}
    named = of_each.keys() & _MARKS.keys()
    found = []
    for what, name in _MARKS.items():
        text = letter if letter and what == "match code" else getattr(part, name)
        if text:
            saying = [fact.how_known for fact in readings if getattr(fact, name) == text]
            told = told_by(saying[-1]) if saying and all(each in TOLD for each in saying) else None
            found.append(Mark(what, text, of_each.get(what) if named else sit, told))
    return (*found, *(Mark("own number", fact.number, fact.given_in) for fact in numbered))


def relation(
    facts: _Facts, until: str, date_code: str | None, cars: Mapping[int, str], years: Mapping[int, str], say: _Say
) -> Relation | None:
    """How a part belongs to a car, as last stated, and what on record speaks against it.

    `cars`, `years`: name and year of make of each car. A part made after its car cannot be original to it.
    """
    told = timeless(facts.get("relation", ()), until)
    if not told:
        return None
    last = told[-1]
    against = list(_against(last, date_code, years))
    others = {fact.car_id for fact in told if fact.relation == "original" and fact.car_id} - {last.car_id}
    if last.relation == "original" and others:
        against.append(
            f"also stated as original to {', '.join(sorted(cars.get(key, 'another car') for key in others))}"
        )
    car = cars.get(last.car_id) if last.car_id is not None else None
    return Relation(last.relation, car, last.says, say(last), "; ".join(against) or None)


def _against(stated: Any, date_code: str | None, years: Mapping[int, str]) -> Iterator[str]:
    year = years.get(stated.car_id) if stated.car_id is not None else None
    if not date_code or not year or stated.relation not in ("original", "same type and time"):
        return
    made, car_made = made_in(date_code), last_year_of(year)
    if made is not None and car_made is not None and made > car_made:
        cannot = "cannot be original fitment" if stated.relation == "original" else "is not of the car's time"
        yield f"date code {date_code}: made in {made}, the car in {year}, so it {cannot}"


def condition(assessments: Sequence[Any], say: _Say) -> ConditionSeen | None:
    """The last look at a part, with the last that was said of what is missing, of the trend and of its class."""
    if not assessments:
        return None
    assessments = ours_last(assessments, WRITTEN)
    looks = [fact for fact in assessments if fact.category is not None or fact.damage]
    look = looks[-1] if looks else assessments[-1]
    missing, trend, stated = (_last(assessments, name) for name in ("missing", "trend", "trade_class"))
    report = {name: getattr(look, name) for name in ("why", "light", "opened", "unseen")}
    return ConditionSeen(look.category, look.damage, missing, trend, say(look), **report, trade_class=stated)


def _last(told: Sequence[Any], name: str) -> Any:
    return next((value for fact in reversed(told) if (value := getattr(fact, name))), None)


def completeness(looks: ConditionSeen | None) -> str:
    """Whether a part is complete: complete, "missing: ...", not known. A word for none says that nothing is missing."""
    if looks is None or looks.missing is None or nothing_in(looks.missing) in ("not known", "doubtful"):
        return NOT_KNOWN
    return "complete" if nothing_in(looks.missing) == "none" else f"missing: {looks.missing}"


def stability(looks: ConditionSeen | None, assessments: Sequence[Any]) -> str:
    """Whether the condition gets worse, as stated; else from the last two classes that differ; else not known."""
    if looks is None:
        return NOT_KNOWN
    if looks.trend:
        return looks.trend
    classes = [fact for fact in assessments if fact.category is not None]
    before = next((fact for fact in reversed(classes) if fact.category != classes[-1].category), None)
    if before is None:
        return NOT_KNOWN
    now = classes[-1]
    return f"class {before.category} on {before.so_from}, class {now.category} on {now.so_from}"


def trade_class(facts: _Facts, until: str, looks: ConditionSeen | None, works: Run | None) -> str:
    """The trade's class of a part: as stated, save that what was on a car since it was called new is used.

    "Used" is stated, or a car is on record that it was on; the test is the last decisive one that still counts.
    """
    on_cars = [*by_day(facts.get("removal", ()), until), *by_day(facts.get("fitting", ()), until)]
    stated = looks.trade_class if looks is not None else None
    if stated == "new old stock":
        said = [fact for fact in by_day(facts.get("assessment", ()), until) if fact.trade_class == stated]
        if not any(fact.counts_from > said[-1].counts_from for fact in on_cars):
            return stated
    elif stated in ("rebuildable core", "scrap"):
        return stated
    if stated is None and not on_cars:
        return NOT_KNOWN
    if works is None or works.stale:
        return "used, untested"
    return f"used, tested by {works.procedure}{': failed' if works.verdict == 'fail' else ''}"


def history(facts: _Facts, until: str, cars: Mapping[int, str]) -> str:
    """How a part came, went and was fitted, in one line without the names of people; "" if nothing says so."""
    told = [fact for table in ("provenance", "removal", "fitting") for fact in facts.get(table, ())]
    events = [event for fact in by_day(in_order(told), until) if (event := _event(fact, cars))]
    more = len(events) - _MOST_EVENTS
    return "; ".join([*([f"{more} earlier events"] if more > 0 else []), *events[-_MOST_EVENTS:]])


def _event(fact: Any, cars: Mapping[int, str]) -> str:
    if fact.table == "provenance":
        if fact.how == "not known":
            return ""
        said = f" ({fact.attribution})" if fact.attribution != "seen by us" else ""
        back = f", due back {fact.due}" if fact.due and fact.how in AWAY else ""
        return f"{fact.how} {_day(fact)}{said}{back}"
    car = cars.get(fact.car_id, "a car")
    return f"came off {car} {_day(fact)}" if fact.table == "removal" else f"fitted to {car} {_day(fact)}"


def _day(fact: Any) -> str:
    return str(fact.told or fact.so_from)
