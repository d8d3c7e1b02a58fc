"""Two records with different limits are open in one process, and each is judged by its own, however they take turns."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from inventory.bench import actions as bench
from inventory.bench.runs.queries import runs_of
from inventory.condition_list.actions import condition_list
from inventory.errors import UnknownName
from inventory.evidence.queries import evidence_of_many
from inventory.opening import Record, make_record
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.record.write_limits import take_limits
from inventory.sheets import SheetRefused, read_sheet
from tests.build import BY
from tests.conftest import ENGINES
from tests.doors.workshops import OWN_LIMITS

OWN_KIND = '\n[[kind]]\nname = "throttle body"\nplural = "throttle bodies"\nprocedures = ["resistance"]\n'


@pytest.fixture(params=ENGINES)
def pair(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Record, Record]]:
    """A record whose workshop has limits and a kind of its own, and one whose workshop has none."""
    (tmp_path / "own.toml").write_text(OWN_LIMITS + OWN_KIND)
    targets = [str(tmp_path / f"{name}.db") for name in ("own", "plain")]
    if request.param == "postgres":
        targets = [request.getfixturevalue("new_database")("template0") for _ in targets]
    own, plain = map(make_record, targets)
    with own.write() as session:
        take_limits(session, BY, tmp_path / "own.toml")
    yield own, plain
    own.close()
    plain.close()


def measured(record: Record) -> str:
    """A sensor whose primary is within the usual limits, and outside those that one workshop has. Gives its tag."""
    with record.write() as session:
        tag = add_part(session, BY, Markings(kind="pressure sensor", part_number="HV 204 118", serial="71-40822"))
        readings = ["primary=90ohm", "secondary=350ohm", "case=OL"]
        bench.run(session, BY, tag, "resistance", readings, {"ambient": "20degC"}, on="2026-03-12")
    return tag


def verdicts(record: Record, tag: str) -> set[Any]:
    """What the bench, the evidence and the condition list say of the one run of a part."""
    with record.read() as session:
        part = part_row(session, tag)
        (run,) = runs_of(session, part.id)
        (test,) = evidence_of_many(session, [part.id])[part.id].tests
        (item,) = condition_list(session).items
        (listed,) = item.runs
        return {run.judgement.verdict, test.verdict, listed.verdict}


def test_each_record_is_judged_by_the_limits_of_its_own_workshop(pair: tuple[Record, Record]) -> None:
    own, plain = pair
    tags = [measured(record) for record in pair]

    for _ in range(2):
        assert verdicts(own, tags[0]) == {"fail"}
        assert verdicts(plain, tags[1]) == {"pass"}


def test_a_kind_of_one_workshop_is_not_known_to_the_other(pair: tuple[Record, Record], tmp_path: Path) -> None:
    own, plain = pair
    sheet = tmp_path / "parts.csv"
    sheet.write_text("kind,maker,part number,serial\nthrottle body,Tolvranne,12-T4,0602\n")

    assert read_sheet(own, sheet, BY).added == 1
    with pytest.raises(SheetRefused) as refused:
        read_sheet(plain, sheet, BY, strict=True)
    assert [problem.code for problem in refused.value.report.problems] == ["unknown-kind"]
    with own.write() as session:
        add_part(session, BY, Markings(kind="throttle body"))
    with plain.write() as session, pytest.raises(UnknownName):
        add_part(session, BY, Markings(kind="throttle body"))
