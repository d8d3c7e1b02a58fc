"""Reads the facts that count as evidence on parts, in bulk: a fixed number of statements for any number of parts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_by, runs_of_many
from inventory.contradictions.judgements import OnPart
from inventory.contradictions.load_facts import load_contradictions
from inventory.contradictions.load_rows import load_rows
from inventory.contradictions.looks import TEST, Contradiction, told
from inventory.documents.tables import Attachment
from inventory.evidence.tables import Claim
from inventory.facts.declare import declared
from inventory.facts.views import FactView
from inventory.mishaps.tables import Mishap
from inventory.parts.tables import Part, Work
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import AsOf, as_of, fact_id
from inventory.store.many import among, among_sql
from inventory.teardown.tables import Removal

__all__ = ["EvidenceFact", "PartFacts", "facts_of_parts", "mixtures_of"]

_Model = Work | Claim | Removal | Mishap | Attachment
#: The columns read from each table.
_COLUMNS: dict[type[_Model], tuple[str, ...]] = {
    Work: ("what", "area", "product"),
    Claim: ("said", "test", "source", "proof", "came_out"),
    Removal: (),
    Mishap: ("mishap",),
    Attachment: ("shows",),
}


@dataclass(frozen=True)
class EvidenceFact:
    """The columns of a fact that count as evidence, with the names that a `FactView` has.

    Columns instead of rows, for speed with a hundred thousand parts. `values["document"]` is a key or None.
    """

    id: str
    on: str
    earliest: str
    latest: str
    ranked: str
    values: dict[str, Any]


@dataclass(frozen=True)
class PartFacts:
    """All facts of one part that count as evidence, oldest first.

    `mixtures`: runs on a car with it in the pair; `tag` is given where there may be some. `seals`: the looks that
    count; `contradictions`: what does not fit of them; `cars`: the car of each mixture, by fact.
    """

    runs: list[RunView]
    mixtures: list[RunView]
    seals: list[EvidenceFact]
    work: list[EvidenceFact]
    claims: list[EvidenceFact]
    removals: list[EvidenceFact]
    mishaps: list[EvidenceFact]
    attachments: list[EvidenceFact]
    settings: list[EvidenceFact]
    settlements: list[EvidenceFact] = field(default_factory=list)
    contradictions: tuple[Contradiction, ...] = ()
    tag: str = ""
    cars: Mapping[str, str] = field(default_factory=dict)

    @property
    def every(self) -> Iterable[FactView | EvidenceFact]:
        """All of them, as facts."""
        yield from (run.fact for run in (*self.runs, *self.mixtures))
        for facts in (self.seals, self.work, self.claims, self.removals, self.mishaps, self.settings, self.settlements):
            yield from facts


def facts_of_parts(
    session: Session,
    keys: Sequence[int],
    when: AsOf,
    *,
    runs: Mapping[int, list[RunView]] | None = None,
    mixtures: Mapping[str, list[RunView]] | None = None,
) -> dict[int, PartFacts]:
    """The facts of several parts, by key; `runs` and `mixtures` (by tag): theirs, if they were read already."""
    runs = runs_of_many(session, keys, when) if runs is None else runs
    mixtures = mixtures_of(session, when) if mixtures is None else mixtures
    tags = dict(session.execute(select(Part.id, Part.tag).where(among(Part.id, keys))).all()) if mixtures else {}
    work, claims, removals, mishaps, attachments = (_facts_of_table(session, model, keys, when) for model in _COLUMNS)
    settings = _settings(session, keys, when)
    on_parts = load_contradictions(session, keys, when)
    cars = {run.fact.thing_id for runs_on_cars in mixtures.values() for run in runs_on_cars}
    names = declared(session).thing("car").names(session, cars) if cars else {}
    settled = _settlements(session, {*keys, *cars}, when)
    return {
        key: PartFacts(
            runs=[run for run in runs.get(key, []) if not run.of_rig_alone],
            mixtures=mixtures.get(tags.get(key, ""), []),
            seals=_looks(on_parts.get(key, OnPart())),
            work=work.get(key, []),
            claims=claims.get(key, []),
            removals=removals.get(key, []),
            mishaps=mishaps.get(key, []),
            attachments=attachments.get(key, []),
            settings=settings.get(key, []),
            settlements=[
                fact
                for thing in (key, *{run.fact.thing_id for run in mixtures.get(tags.get(key, ""), [])})
                for fact in settled.get(thing, ())
            ],
            cars={run.fact.id: names[run.fact.thing_id] for run in mixtures.get(tags.get(key, ""), [])},
            contradictions=on_parts.get(key, OnPart()).every,
            tag=tags.get(key, ""),
        )
        for key in keys
    }


def mixtures_of(session: Session, when: AsOf) -> dict[str, list[RunView]]:
    """The mixture runs on cars, oldest first, by the tag of each part of the pair that was on the car that day."""
    found: dict[str, list[RunView]] = defaultdict(list)
    for run in runs_by(session, "mixture", when):
        pair = run.context.pair
        for tag in (pair.sensor, pair.unit) if pair is not None else ():
            if tag:
                found[tag].append(run)
    return found


def _looks(part: OnPart) -> list[EvidenceFact]:
    """The looks at a part's seals that count, oldest first."""
    looks = sorted((look for seal in part.seals.values() for look in seal.looks), key=lambda look: look.order)
    return [
        EvidenceFact(
            look.fact,
            look.on,
            look.earliest,
            look.latest,
            look.ranked,
            {"seal": look.seal, "state": look.says, "document": look.document, "own": look.own or look.paper},
        )
        for look in looks
    ]


def _facts_of_table(
    session: Session, model: type[_Model], keys: Sequence[int], when: AsOf
) -> dict[int, list[EvidenceFact]]:
    """The valid facts of one table in a state of the record, by the key of their thing, oldest first."""
    names = _COLUMNS[model]
    shared = (model.id, model.thing_id, model.so_from, model.earliest, model.latest, model.ranked)
    columns = select(*shared, *(getattr(model, name) for name in names)).where(among(model.thing_id, keys))
    shown = [name.removesuffix("_id") for name in names]
    found: dict[int, list[EvidenceFact]] = defaultdict(list)
    for key, thing, on, earliest, latest, ranked, *values in session.execute(as_of(columns, model, when)):
        found_fact = EvidenceFact(
            fact_id(model, key), on, earliest, latest, ranked, dict(zip(shown, values, strict=True))
        )
        found[thing].append(found_fact)
    return found


def _settlements(session: Session, things: Iterable[int], when: AsOf) -> dict[int, list[EvidenceFact]]:
    """What settles tests on parts and cars."""
    found: dict[int, list[EvidenceFact]] = defaultdict(list)
    for thing, facts in load_rows(session, "settlement", sorted(things), when).items():
        for fact in facts:
            if fact.about.startswith(TEST):
                values = {"about": fact.about, "answer": fact.answer, "says": told(fact), "document": fact.document_id}
                found[thing].append(
                    EvidenceFact(f"settlement-{fact.id}", fact.so_from, fact.earliest, fact.latest, fact.ranked, values)
                )
    return found


def _settings(session: Session, keys: Sequence[int], when: AsOf) -> dict[int, list[EvidenceFact]]:
    """The specialists' papers on settings; by SQL text, since their table belongs to a subject above this one."""
    within, given = among_sql(session, "asked_keys", keys)
    rows = fetch_all(
        session,
        "SELECT fact.thing_id, fact.id, fact.so_from, fact.earliest, fact.latest, fact.ranked FROM setting AS fact "  # noqa: S608
        f"WHERE {when.sql('fact')} AND fact.thing_id {within} ORDER BY fact.counts_from, fact.ranked, fact.id",
        {**when.parameters, **given},
    )
    found: dict[int, list[EvidenceFact]] = defaultdict(list)
    for thing, key, on, earliest, latest, ranked in rows:
        found[thing].append(EvidenceFact(fact_id("setting", key), on, earliest, latest, ranked, {}))
    return found
