"""Reads the facts of sensors and control units in bulk, by SQL text over one scope, for the candidates of pairs."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView
from inventory.evidence.mixtures import mixture_verdict
from inventory.pairing.candidate import (
    PAIRED_KINDS,
    SENSOR_KIND,
    UNIT_KIND,
    CalibrationShown,
    OnRecord,
    Setting,
    StripDown,
)
from inventory.pairing.findings.calibration_shown import mixture_shows
from inventory.parts.judgements import AWAY
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import NOW, AsOf, fact_id
from inventory.store.many import among_sql
from inventory.store.words.text import squeeze

__all__ = ["EVIDENCE_TABLES", "FactReader", "OtherFacts", "Scope", "since", "strip_down_of"]

_KINDS = ", ".join(f"'{kind}'" for kind in PAIRED_KINDS)
_IN_ORDER = "ORDER BY fact.counts_from, fact.ranked, fact.id"
#: Tables of facts that most parts have none of; one query finds those that need to be read.
EVIDENCE_TABLES = ("bench_run", "seal_sighting", "claim", "work", "setting")
_SPARSE_TABLES = (*EVIDENCE_TABLES, "attachment", "reservation", "note", "removal", "fitting", "provenance")
#: Up to this many parts are selected by key.
_MOST_KEYS = 500


@dataclass(frozen=True)
class Scope:
    """Selects sensors and control units: a condition on the columns of `part`, and its parameters."""

    where: str = "1 = 1"
    parameters: Mapping[str, object] = field(default_factory=dict)

    @property
    def condition(self) -> str:
        """The condition, limited to the paired kinds."""
        return f"part.kind IN ({_KINDS}) AND {self.where}"


class FactReader:
    """Reads facts of some parts in one state of the record, by SQL text; few parts by key, many by their scope."""

    def __init__(self, session: Session, keys: Sequence[int], *, scope: Scope | None = None, when: AsOf = NOW) -> None:
        self.session, self.when = session, when
        self._parameters: dict[str, object] = dict(when.parameters)
        if len(keys) <= _MOST_KEYS or scope is None:
            within, given = among_sql(session, "asked_keys", keys)
            self._parameters |= given
        else:
            within = f"IN (SELECT part.id FROM part WHERE {scope.condition})"  # noqa: S608
            self._parameters |= scope.parameters
        self.in_state = when.sql("fact")
        self.in_scope = f"{self.in_state} AND fact.thing_id {within}"

    def rows(self, sql: str) -> list[tuple[Any, ...]]:
        """The rows of a query."""
        return fetch_all(self.session, sql, self._parameters)

    def facts(self, table: str, columns: str, join: str = "", more: str = "") -> list[tuple[Any, ...]]:
        """The key of the thing, the own key and the given columns of the valid facts of a table, oldest first."""
        select = f"SELECT fact.thing_id, fact.id, {columns} FROM {table} AS fact {join}"  # noqa: S608
        return self.rows(f"{select} WHERE {self.in_scope} {more} {_IN_ORDER}")

    def keys_by_table(self) -> dict[str, list[int]]:
        """By sparse table, the keys of the parts that have facts in it."""
        each = (
            f"SELECT '{table}', fact.thing_id FROM {table} AS fact WHERE {self.in_scope}"  # noqa: S608
            for table in _SPARSE_TABLES
        )
        found: dict[str, list[int]] = defaultdict(list)
        for table, key in self.rows(" UNION ".join(each)):
            found[table].append(key)
        return found


class OtherFacts:
    """The other facts of the parts (not evidence), by part key."""

    def __init__(
        self, reader: FactReader, keys_by_table: Mapping[str, Sequence[int]], mixtures: Mapping[str, Sequence[RunView]]
    ) -> None:
        self.first_marking: dict[int, str] = {}
        self.code: dict[int, str] = {}
        for key, fact, state in reader.facts("marking", "fact.match_code_state"):
            named = fact_id("marking", fact)
            self.first_marking.setdefault(key, named)
            if state:
                self.code[key] = named
        self.documents = (
            Counter(key for key, _, _ in reader.facts("attachment", "1")) if "attachment" in keys_by_table else {}
        )
        self.settings = _settings(reader) if "setting" in keys_by_table else {}
        self.reserved = _reserved(reader) if "reservation" in keys_by_table else {}
        self.away = _away(reader) if "provenance" in keys_by_table else {}
        self.knobs = _knobs(reader) if "note" in keys_by_table or "work" in keys_by_table else {}
        self.came_off = _came_off(reader) if "removal" in keys_by_table else {}
        self.mates = _ran_together(reader) if self.came_off else {}
        self.on_cars = {tag: _mixtures(tag, runs) for tag, runs in mixtures.items()}
        self.fitted_to = _fitted_to(reader) if reader.when != NOW and "fitting" in keys_by_table else {}


def _fitted_to(reader: FactReader) -> dict[int, str]:
    """By part, the car it was last fitted to, unless it came off since."""
    last: dict[int, tuple[tuple[str, str, int], str]] = {}
    for table in ("fitting", "removal"):
        rows = reader.facts(table, "fact.counts_from, fact.ranked, car.name", "JOIN car ON car.id = fact.car_id")
        for key, fact, counts_from, ranked, car in rows:
            said = ((counts_from, ranked, fact), car or "" if table == "fitting" else "")
            last[key] = max(last.get(key, said), said, key=lambda one: one[0])
    return {key: car for key, (_, car) in last.items() if car}


def _settings(reader: FactReader) -> dict[int, Setting]:
    """The last specialist's paper on each sensor."""
    columns = "unit.tag, fact.unit_number, fact.unit_code, fact.earliest, fact.ranked, fact.so_from"
    rows = reader.facts("setting", columns, "LEFT JOIN part AS unit ON unit.id = fact.unit_id")
    return {
        key: Setting(
            unit=tag or "",
            unit_number=number or "",
            unit_number_squeezed=squeeze(number or ""),
            unit_code=code or "",
            at=f"{earliest} {ranked}",
            on=on,
            fact=fact_id("setting", fact),
        )
        for key, fact, tag, number, code, earliest, ranked, on in rows
    }


def _reserved(reader: FactReader) -> dict[int, OnRecord]:
    """The reserved parts, with the reason."""
    last = {key: (fact, state, why) for key, fact, state, why in reader.facts("reservation", "fact.state, fact.why")}
    return {
        key: OnRecord(why or "", fact_id("reservation", fact))
        for key, (fact, state, why) in last.items()
        if state == "reserved"
    }


def _away(reader: FactReader) -> dict[int, str]:
    """The parts that are lent or sent out."""
    last = {key: how for key, _, how in reader.facts("provenance", "fact.how") if how != "not known"}
    return {key: how for key, how in last.items() if how in AWAY}


def _knobs(reader: FactReader) -> dict[int, OnRecord]:
    """The last outside work or note on a control unit that mentions its knob."""
    found: dict[int, list[tuple[str, str, OnRecord]]] = defaultdict(list)
    for table, column, more in (("note", "text", ""), ("work", "what", "AND fact.area = 'outside'")):
        asking = f"{more} AND lower(fact.{column}) LIKE '%knob%'"
        columns = f"fact.{column}, fact.so_from, fact.counts_from, fact.ranked"
        for key, fact, says, on, counts_from, ranked in reader.facts(table, columns, more=asking):
            found[key].append((counts_from, ranked, OnRecord(f"{says} ({on})", fact_id(table, fact))))
    return {key: max(noted, key=lambda one: one[:2])[2] for key, noted in found.items()}


def _came_off(reader: FactReader) -> dict[int, tuple[int, str, str]]:
    """By part: the strip-down in which it last came off a car, the car's name, the removal's fact id."""
    rows = reader.facts("removal", "fact.strip_down_id, car.name", "JOIN car ON car.id = fact.car_id")
    last = {key: (strip_down, car or "", fact_id("removal", fact)) for key, fact, strip_down, car in rows}
    return {key: off for key, off in last.items() if off[0] is not None}


def _ran_together(reader: FactReader) -> dict[int, dict[str, str]]:
    """By strip-down: the tags of the last sensor and the last control unit that came off."""
    of_these = f"SELECT fact.strip_down_id FROM removal AS fact WHERE {reader.in_scope}"  # noqa: S608
    mates = f"removal AS fact JOIN part AS mate ON mate.id = fact.thing_id AND mate.kind IN ({_KINDS})"
    where = f"{reader.in_state} AND fact.strip_down_id IN ({of_these})"
    rows = reader.rows(f"SELECT fact.strip_down_id, mate.kind, mate.tag FROM {mates} WHERE {where} {_IN_ORDER}")  # noqa: S608
    found: dict[int, dict[str, str]] = defaultdict(dict)
    for strip_down, kind, tag in rows:
        found[strip_down][kind] = tag
    return found


def strip_down_of(
    came_off: tuple[int, str, str], tag: str, kind: str, mates: Mapping[int, Mapping[str, str]]
) -> StripDown:
    """The strip-down in which a part last came off, and its mate; none if a later part of its kind came off too."""
    strip_down, car, fact = came_off
    last = mates.get(strip_down, {})
    other = UNIT_KIND if kind == SENSOR_KIND else SENSOR_KIND
    mate = last.get(other, "") if last.get(kind) == tag else ""
    return StripDown(fact_id("strip_down", strip_down), car, fact, mate)


def _mixtures(sensor: str, runs: Sequence[RunView]) -> list[CalibrationShown]:
    """The mixture runs that show the calibration of a pair on a car with this sensor, oldest first.

    A mixture that is off the mark takes back what earlier right ones of that pair showed; a right one after it is open.
    """
    found: list[CalibrationShown] = []
    net: Counter[str] = Counter()
    for run in runs:
        pair = run.context.pair
        if pair is None or pair.sensor != sensor:
            continue
        if mixture_verdict(run.judgement.figures) == "fail":
            net[pair.unit] = min(net[pair.unit], 0) - 1
            found = [shown for shown in found if shown.mate != pair.unit]
        elif mixture_shows(run.judgement.verdict, run.judgement.figures):
            net[pair.unit] += 1
            if net[pair.unit] <= 0:
                continue
            says = f"the mixture was right on the running car with this pair ({run.fact.on})"
            found.append(CalibrationShown(says, since(run), pair.unit, run.fact.id))
    return found


def since(run: RunView) -> str:
    """The earliest time of a run, as sortable text."""
    return f"{run.fact.earliest} {run.fact.ranked}"
