"""A blank of the rig alone may come from a sheet: a run without readings."""

from __future__ import annotations

import pytest

from inventory.bench.runs.queries import runs_of
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from tests.sheets.conftest import BY, Desk

HEAD = ["tag", "procedure", "readings", "rig", "blank", "on"]


@pytest.mark.parametrize(
    ("procedure", "kind", "blank"),
    [
        ("check valve", "fuel pump", "0min=2.5bar; 10min=2.5bar"),
        ("hold", "pressure sensor", "0s=50cmHg; 10s=50cmHg"),
    ],
)
def test_a_blank_by_itself_comes_from_a_sheet(desk: Desk, procedure: str, kind: str, blank: str) -> None:
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind=kind, maker="Ostrell", serial="71-40822"))
    row = [tag, procedure, "", "test gauge", blank, "2026-03-02"]

    assert desk.read(desk.book(runs=[HEAD, row])).added == 1
    refusal = desk.refused(desk.book("bare.xlsx", runs=[HEAD, [*row[:4], "", "2026-03-03"]]))

    with desk.record.read() as session:
        (run,) = runs_of(session, part_row(session, tag).id)
    assert (run.fact.values["readings"], run.judgement.verdict) == ([], "not judged")
    assert run.judgement.says.startswith("the rig alone: held")
    (problem,) = [each for row in refusal.report.rows for each in row.problems]
    assert (problem.column, problem.problem) == ("readings", "the run has no readings")
    desk.again(desk.book(runs=[HEAD, row]))
