"""Makes one item of the condition list from the facts of a part. Pure: facts and names in, the item out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

from inventory.bench.runs.ended import no_longer
from inventory.condition_list import said_of
from inventory.condition_list.held_on import (
    Cover,
    away,
    car_on,
    counted,
    counting,
    last_seen,
    place_on,
    shown_here,
    whose_statement,
)
from inventory.condition_list.totals import AGREED, PROPOSED, own_value
from inventory.condition_list.values import (
    Evidence,
    Item,
    Run,
    Seal,
    Seen,
    Statement,
    Unfitting,
    Value,
    Where,
)
from inventory.contradictions.judgements import OnPart, judged
from inventory.contradictions.looks import LETTER, TEST, Contradiction
from inventory.contradictions.whereabouts import Whereabouts
from inventory.counting.missing import missed, says_missed
from inventory.facts.how_known import is_own
from inventory.facts.order import by_day, in_order, timeless
from inventory.parts.judgements import BACK, CAME, Identity
from inventory.places.tree import PlacePremises

if TYPE_CHECKING:
    from inventory.bench.runs.queries import RunView

__all__ = ["ListedPart", "Names", "Paper", "item_of"]


@dataclass(frozen=True)
class Paper:
    """A document as the list shows it, without its file name, which may hold a person's name."""

    digest: str
    media_type: str
    size: int


@dataclass(frozen=True)
class Names:
    """The names behind the keys in facts, as of the day of the list.

    `premises` by place; `stands`: the place of each car. `tags`: of parts that values name as the other half of a pair.
    `shows`: by table, a function that says how a fact shows that the part was seen. `insured`: an insurer or a
    policy is on record. `car_years`: years of make. `not_of_kind`: by kind, what cannot be asked of it ("match code",
    "seals", "goes with").
    """

    people: Mapping[int, str]
    cars: Mapping[int, str]
    insured_whole: frozenset[int]
    premises: Mapping[int, PlacePremises]
    papers: Mapping[int, Paper]
    shows: Mapping[str, Callable[[Any], str]]
    holders: Mapping[int, str] = field(default_factory=dict)
    car_years: Mapping[int, str] = field(default_factory=dict)
    places: Mapping[int, str] = field(default_factory=dict)
    not_of_kind: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    stands: Mapping[int, int] = field(default_factory=dict)
    tags: Mapping[int, str] = field(default_factory=dict)
    insured: bool = False


@dataclass(frozen=True)
class ListedPart:
    """A part on the list: its number there, its tag, its identity, and its facts.

    `facts` by the name of their table, of any day; `runs` as judged in that state of the record; `place`: what does
    not fit about where it is; `further`: what else does not (its tests).
    """

    number: int
    tag: str
    part: Identity
    facts: Mapping[str, list[Any]]
    runs: Sequence[RunView] = ()
    place: Whereabouts = field(default_factory=Whereabouts)
    further: Sequence[Contradiction] = ()


_NO_TEST_SINCE = "no test passed or failed since"
#: The tables whose facts are shown as they were on the day.
_AS_OF_THE_DAY = (
    "seal_sighting",
    "valuation",
    "assessment",
    "attachment",
    "fitting",
    "work",
    "mishap",
    "settlement",
    "count_line",
)


def item_of(listed: ListedPart, names: Names, until: str, old_before: str, basis: str) -> Item:
    """The item of one part, from the facts up to the ISO day `until` (for now: the last of all days).

    A value that counts from a day before the ISO day `old_before` is stale.
    """
    facts = listed.facts
    on_the_day = {table: by_day(facts[table], until) for table in _AS_OF_THE_DAY if table in facts}
    runs = [_run(run) for run in listed.runs]
    decisive = _decisive(listed, runs)
    seals = [_seal(fact, names) for fact in on_the_day.get("seal_sighting", ())]
    looks, readings, settlements = (facts.get(table, []) for table in ("seal_sighting", "marking", "settlement"))
    fits = judged(looks, readings, settlements, until, listed.place)
    unfitting = (*fits.every, *listed.further)
    seals_now = _seals_now(seals, on_the_day.get("settlement", ()), fits, names)
    values = [_value(fact, names, old_before) for fact in on_the_day.get("valuation", ())]
    came, came_when = _came(facts.get("provenance", []), names, until)
    seen = last_seen(facts, until, names.shows)
    passages = by_day(facts.get("provenance", []), until)
    gone = missed(on_the_day.get("count_line", ()), seen.fact if seen else None, passages)
    not_here = says_missed(gone.so_from, gone.occasion) if gone else ""
    say = partial(_statement, names=names)
    assessed = on_the_day.get("assessment", ())
    looked = said_of.condition(assessed, say)
    described = said_of.description(facts, until, say)
    numbered = timeless(facts.get("own_number", ()), until)
    identity = vars(listed.part) | _read_from(listed.part, readings)
    works = decisive[-1] if decisive else None
    letter = next((each.in_short for each in unfitting if each.about == LETTER and not each.remark), None)
    belongs = said_of.relation(facts, until, listed.part.date_code, names.cars, names.car_years, say)
    return Item(
        number=listed.number,
        tag=listed.tag,
        **identity,
        **_custody(counting(facts, listed.place), names, until, listed.place),
        last_seen=Seen(seen.how, say(seen.fact), said_of.manner(seen.fact)) if seen else None,
        condition=looked,
        works=works,
        came=came,
        came_when=came_when,
        value=own_value(values, basis),
        not_here=not_here,
        remarks=(
            *([not_here] if not_here else []),
            *_remarks(on_the_day, runs, seals_now),
            *(each.says for each in unfitting),
            *_mishaps(on_the_day.get("mishap", ()), listed.runs),
            *([f"relation to the car: {belongs.against}"] if belongs is not None and belongs.against else []),
        ),
        runs=tuple(runs),
        seals=tuple(seals),
        seals_now=seals_now,
        contradictions=tuple(
            Unfitting(each.about, each.says, each.facts, each.settle, each.in_short)
            for each in unfitting
            if not each.remark
        ),
        values=tuple(values),
        evidence=tuple([_evidence(fact, names) for fact in on_the_day.get("attachment", ())]),
        description=described,
        marks_verbatim=said_of.marks(
            listed.part, described.marks_sit if described else None, letter, numbered, readings
        ),
        relation=belongs,
        trade_class=said_of.trade_class(facts, until, looked, works),
        complete=said_of.completeness(looked),
        stable=said_of.stability(looked, assessed),
        history=said_of.history(counting(facts, listed.place), until, names.cars),
        not_shown_here=not shown_here(facts, until),
        does_not_apply=names.not_of_kind.get(listed.part.kind or "", ()),
    )


def _read_from(part: Identity, readings: Sequence[Any]) -> dict[str, str]:
    """Where a letter was read that nobody read here; nothing for any other."""
    if part.match_code is None or part.match_code_read_from is not None:
        return {}
    own = any(fact.match_code == part.match_code and is_own(fact) for fact in readings)
    return {} if own else {"match_code_read_from": "a sheet or the word of others"}


def _seals_now(seals: Sequence[Seal], settlements: Sequence[Any], fits: OnPart, names: Names) -> tuple[Seal, ...]:
    """What each seal counts as: the look that counts, or the renewal that a settlement states."""
    by_fact = {seal.when.fact: seal for seal in seals}
    settled = {f"settlement-{fact.id}": fact for fact in settlements}
    now = []
    for name, seal in sorted(fits.seals.items()):
        look = seal.looks[-1]
        if look.fact in settled:
            now.append(Seal(name, look.says, look.paper, _statement(settled[look.fact], names)))
        else:
            now.append(by_fact[look.fact])
    return tuple(now)


def _statement(fact: Any, names: Names) -> Statement:
    return Statement(
        on=fact.so_from,
        told=fact.told,
        earliest=fact.earliest,
        latest=fact.latest,
        by=names.people.get(fact.by_id, "unknown"),
        how_known=fact.how_known,
        fact=f"{fact.table}-{fact.id}",
        recorded_on=fact.recorded_on,
    )


def _custody(facts: Mapping[str, Sequence[Any]], names: Names, until: str, place: Whereabouts) -> dict[str, Any]:
    """Where a part is, whose it is, and whether its value counts."""
    history, fittings = facts.get("provenance", []), facts.get("fitting", [])
    statement, sent = whose_statement(history, until), away(history, fittings, until)
    whose = statement.whose if statement is not None else "own"
    if whose == "lent out" and sent is None:
        whose = "own"
    car_key = car_on(facts.get("removal", []), fittings, until)
    car = names.cars.get(car_key) if car_key is not None and sent is None else None
    stored = place_on(facts.get("move", []), fittings, until) or 0
    lies = stored if car is None else names.stands.get(car_key or 0, 0)  # a part on a car is where its car is
    at, shelf = names.premises.get(lies, PlacePremises()), names.places.get(stored)
    said = at.name or "premises not known"
    if place.open:
        where = Where("open", f"whereabouts: open ({place.found})", None, None)
    elif sent is not None:
        where = Where("away", f"away: {sent.how}", None, None)
    elif car is not None:
        where = Where("on a car", f"on car {car}, {said}", at.name, car, at.town)
    else:
        where = Where("loose", f"loose, {said}", at.name, None, at.town, shelf)
    cover = counted(whose, sent is not None, car, car_key in names.insured_whole)
    if place.open and cover.counted:
        cover = Cover(False, "whereabouts open", "its whereabouts count as open")
    return {
        "where": where,
        "whose": whose,
        "holder": _holder(whose, statement, names),
        "counted_in_total": cover.counted,
        "heading": cover.heading,
        "why": cover.why,
    }


def _holder(whose: str, statement: Any, names: Names) -> str:
    """Whose a part is, as the list shows it: other people have letters; the key is kept separately."""
    if whose == "lent out":
        return "own, lent out"
    if whose not in ("customer's", "lent in"):
        return whose
    unnamed = "customer, not named" if whose == "customer's" else "lender, not named"
    return names.holders.get(statement.party_id or 0, unnamed)


def _decisive(listed: ListedPart, runs: Sequence[Run]) -> list[Run]:
    """The passes and fails of the test that decides for this kind, oldest first; of any test if none is on file.

    Those of a test that stands open, and those that a sheet brought without naming who did them, are left out.
    """
    open_tests = {each.about.removeprefix(TEST) for each in listed.further if each.open}
    decided = [run for run in runs if run.verdict in ("pass", "fail") and run.procedure not in open_tests]
    decided = [run for run in decided if not run.when.hearsay]
    if not decided:
        return []
    decides = listed.runs[0].context.data.failure_modes(listed.part.kind or "other").decides
    return [run for run in decided if decides in (None, run.procedure)]


def _run(run: RunView) -> Run:
    fact = run.fact
    days = fact.on, fact.told, fact.earliest, fact.latest
    when = Statement(*days, fact.by, fact.how_known, fact.id, fact.recorded_on)
    verdict = run.judgement.verdict
    ended = no_longer(verdict, run.ended) if run.ended else ""
    return Run(run.procedure, verdict, run.judgement.says, when, **run.staleness(), ended=ended)


def _seal(fact: Any, names: Names) -> Seal:
    return Seal(fact.seal, fact.state, fact.document_id is not None, _statement(fact, names))


def _value(fact: Any, names: Names, old_before: str) -> Value:
    paper = f"document-{fact.document_id}" if fact.document_id is not None else None
    standing = "stated, with a paper" if paper else "stated"
    if fact.basis == "agreed":
        standing = AGREED if paper and names.insured else PROPOSED
    return Value(
        amount=fact.amount,
        currency=fact.currency,
        basis=fact.basis,
        source=fact.source,
        capacity=fact.capacity,
        document=paper,
        standing=standing,
        stale=fact.counts_from < old_before,
        when=_statement(fact, names),
        tax=fact.tax,
        with_tag=names.tags.get(fact.with_id) if fact.with_id is not None else None,
    )


def _evidence(fact: Any, names: Names) -> Evidence:
    paper = names.papers[fact.document_id]
    is_picture = paper.media_type.startswith("image/") and fact.shows != "where it sat"
    said = f"document-{fact.document_id}", fact.shows, is_picture, paper.digest[:16], _statement(fact, names)
    return Evidence(*said, paper.media_type, paper.size)


def _came(provenance: Sequence[Any], names: Names, until: str) -> tuple[str, Statement | None]:
    """How a part came, and who says so; never from whom."""
    comings = [fact for fact in in_order(provenance) if fact.how in CAME - BACK]
    said = [fact for fact in comings if fact.counts_from <= until or fact.earliest <= until]
    if not said or said[-1].how == "not known":
        return "not known", None
    return f"{said[-1].how} ({said[-1].attribution})", _statement(said[-1], names)


def _remarks(on_the_day: Mapping[str, list[Any]], runs: Sequence[Run], seals_now: Sequence[Seal]) -> list[str]:
    """The remarks on an item: failed tests, bad seals, fittings against advice, work."""
    said = [f"failed {run.procedure} on {run.when.on}: {run.sentence}" for run in runs if run.verdict == "fail"]
    for seal in seals_now:
        if seal.state in ("disturbed", "missing"):
            whose = "" if is_own(seal.when) else f", {seal.when.how_known}"
            at = f" on {seal.when.on}" if seal.when.earliest == seal.when.latest else f", {seal.when.on}"
            said.append(f"seal {seal.seal} {seal.state}{at}{whose}")
        elif seal.state == "renewed" and not seal.document:
            said.append(f"seal {seal.seal} renewed without a paper, so it counts as disturbed")
    said += [
        f"fitted against advice on {fact.so_from}: {fact.override}"
        for fact in on_the_day.get("fitting", ())
        if fact.override
    ]
    said += [f"work {fact.area} on {fact.so_from}: {fact.what}" for fact in on_the_day.get("work", ())]
    return said


def _mishaps(mishaps: Sequence[Any], runs: Sequence[RunView]) -> Iterator[str]:
    """Every mishap, with the first test that passed or failed since; without one its effect is not known."""
    if not mishaps:
        return
    tests = [run for run in runs if run.judgement.verdict in ("pass", "fail")]
    for fact in mishaps:
        said = "" if is_own(fact) else "said to have been "
        at = (fact.counts_from, fact.ranked)
        later = next((run for run in tests if (run.fact.counts_from, run.fact.ranked) > at), None)
        since = f"since then {later.procedure}: {later.judgement.verdict}" if later else _NO_TEST_SINCE
        yield f"{said}{fact.mishap} on {fact.so_from}, {since}"
