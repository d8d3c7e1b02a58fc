"""A record as pandas tables, for questions that no command answers. Reads only.

Texts have the dtype `string`, so that serials and numbers keep their zeros. Unknown values are missing. A day is the
EDTF text as recorded (`on`), with the first and last day it may mean (`earliest`, `latest`, as dates). An amount is
an exact `Decimal`, with its currency in another column. `frame_columns` has the columns of each table.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import select

from inventory.bench.runs.queries import runs_of_many
from inventory.bench.tables import BenchRun
from inventory.condition_list.actions import condition_list
from inventory.facts.things import things_named
from inventory.facts.views import facts_of_many
from inventory.frame_columns import ITEMS, PAIRS, PARTS, RUNS, facts_columns, frame, item_row
from inventory.pairing.queries import all_pairs
from inventory.parts.queries import lines_of
from inventory.store.days.dates import one_day
from inventory.store.days.zone import today_in

if TYPE_CHECKING:
    import pandas as pd
    from sqlalchemy.orm import Session

    from inventory.store.record import Record

__all__ = ["Frames"]


class Frames:
    """An open record. Each use of a table reads it again. Use it in `with`, or close it.

    >>> import inventory
    >>> record = inventory.open(target)
    >>> record.close()
    >>> record.parts
    Traceback (most recent call last):
    ValueError: the record is closed
    """

    def __init__(self, record: Record) -> None:
        self._record = record
        self._closed = False

    def __enter__(self) -> Frames:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file or the connection; tables already read stay valid."""
        self._closed = True
        self._record.close()

    @property
    def parts(self) -> pd.DataFrame:
        """All parts as they are now, by tag, as lists show them. `extra`: a sheet's own columns.

        >>> import inventory
        >>> with inventory.open(target) as record:
        ...     parts = record.parts
        >>> parts[["tag", "part_number", "match_code", "seal_state"]].to_dict("records")[1]
        {'tag': 'K4127-7', 'part_number': 'HV 204 118', 'match_code': 'K', 'seal_state': 'intact'}
        >>> parts["serial"].tolist(), parts["date_code"].isna().tolist()
        (['71-18806', '71-40822'], [True, True])
        """
        with self._read() as session:
            return frame(map(vars, lines_of(session)), PARTS)

    @property
    def facts(self) -> pd.DataFrame:
        """All facts that count, thing after thing, oldest first. `table` is the kind of fact.

        `about` is the name of the thing and `thing` its kind; `tag` is filled for parts. Each kind of fact fills its
        own columns; the others are missing.

        >>> import inventory
        >>> with inventory.open(target) as record:
        ...     facts = record.facts
        >>> seals = facts[facts["table"] == "seal_sighting"].dropna(axis="columns", how="all")
        >>> seals[["tag", "seal", "state", "on", "by"]].to_dict("records")
        [{'tag': 'K4127-7', 'seal': 'cap', 'state': 'intact', 'on': '2026-03-02', 'by': 'Ines'}]
        >>> facts["amount"].dropna().tolist(), facts["currency"].dropna().tolist()
        ([Decimal('850')], ['EUR'])
        """
        with self._read() as session:
            things = things_named(session)
            found = facts_of_many(session, list(things))
        rows = [
            {
                **fact.as_dict(),
                **{name: getattr(fact, name) for name in ("table", "earliest", "latest")},
                **dict(zip(("thing", "about"), things[key], strict=True)),
                "tag": things[key].name if things[key].kind == "part" else None,
            }
            for key, facts in found.items()
            for fact in facts
        ]
        return frame(rows, facts_columns())

    @property
    def runs(self) -> pd.DataFrame:
        """All bench runs that count, with verdict and sentence; oldest first for each part or car.

        `readings` and `conditions` are as typed; `figures` are those of `bench run --json`.

        >>> import inventory
        >>> with inventory.open(target) as record:
        ...     runs = record.runs
        >>> runs[["tag", "procedure", "verdict"]].to_dict("records")[0]
        {'tag': 'K4127-7', 'procedure': 'hold', 'verdict': 'pass'}
        >>> runs["figures"][0]["limit_share"]
        0.9
        """
        with self._read() as session:
            things = things_named(session)
            found = runs_of_many(session, session.scalars(select(BenchRun.thing_id).distinct()).all())
        rows = [
            {
                **run.as_dict(),
                **{name: getattr(run.fact, name) for name in ("earliest", "latest")},
                "doubtful": run.judgement.doubtful,
                "tag" if things[key].kind == "part" else "car": things[key].name,
            }
            for key, runs in found.items()
            for run in runs
        ]
        return frame(rows, RUNS)

    @property
    def pairs(self) -> pd.DataFrame:
        """Every sensor in the house with every control unit it may go with, best first.

        >>> import inventory
        >>> with inventory.open(target) as record:
        ...     record.pairs[["sensor", "unit", "grade"]].to_dict("records")
        [{'sensor': 'K4127-7', 'unit': 'K2210-C', 'grade': 'confirmed'}]
        """
        with self._read() as session:
            return frame(
                ({name: getattr(pair, name) for name in PAIRS} for pair in all_pairs(session, few=None).pairs), PAIRS
            )

    def condition_list(
        self, as_of: date | str | None = None, known_on: date | str | None = None, basis: str = "market"
    ) -> pd.DataFrame:
        """The items of the condition list as of a day, as known on a day (both by default today), on one basis.

        `attrs` has what concerns the whole list: as_of, known_on, basis, totals, other_totals, fingerprint. The list
        does not count as given out and gets no number.

        >>> import inventory
        >>> with inventory.open(target) as record:
        ...     listed = record.condition_list(as_of="2026-03-31", basis="market")
        >>> listed[["tag", "value", "currency", "counted"]].to_dict("records")[1]
        {'tag': 'K4127-7', 'value': Decimal('850'), 'currency': 'EUR', 'counted': True}
        >>> listed.attrs["totals"]
        {'EUR': '850.00'}
        """
        with self._read() as session:
            today = today_in(session)
            day, known = (
                None if given is None else one_day(str(given), name, today)
                for name, given in (("as_of", as_of), ("known_on", known_on))
            )
            drawn = condition_list(session, day, known, basis)
        found = frame(map(item_row, drawn.items), ITEMS)
        of_list = ("as_of", "known_on", "basis", "totals", "other_totals", "fingerprint")
        found.attrs.update({name: getattr(drawn, name) for name in of_list})
        return found

    @contextmanager
    def _read(self) -> Iterator[Session]:
        if self._closed:
            raise ValueError("the record is closed")
        with self._record.read() as session:
            yield session
