"""What a trial prints: new rows a line each, what is wrong by kind, questions by number; all in 80 columns."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.cli.sheet_words import report_text, shown_remarks
from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.questions import Choice, SheetQuestion
from inventory.sheets.plan.on_record import PartState
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import Problem
from inventory.sheets.plan.rows import PartPlan, PlanRow
from inventory.sheets.readers.tables import Row
from inventory.sheets.report import Report

SHEET = SheetLayout(PARTS, "Regal", [], [])
RELAIS = SheetQuestion(
    "word/kind/relais",
    '"relais" in Teil',
    (Choice("relay", "relay"), Choice("other", "something else, the word is kept")),
    tuple(("Regal", number) for number in range(2, 43)),
    taken="other",
    typed="kind",
)
WAITS = SheetQuestion("day/regal", "up to which day was Regal kept?", (), typed="day")


def added(number: int, notes: str = "one stud bent") -> PlanRow:
    cells = PartCells(kind="relay", maker="Tolvranne", serial=str(number), place="Shelf C", notes=notes)
    return PlanRow(SHEET, Row(number, []), "added", PartPlan(-number, cells, PartState()))


def test_each_new_part_is_one_line_and_of_many_the_first_few() -> None:
    lines = report_text(Report(added=200, rows=[added(number) for number in range(1, 201)]), trial=True).splitlines()

    assert lines[1] == "  Regal 1  added  relay Tolvranne 1: Shelf C"
    assert [line for line in lines if "stud" in line] == []
    assert lines[-1] == "  and 170 more new rows: --json has them all"


def test_what_is_wrong_is_told_by_kind_with_each_text() -> None:
    wrong = [("rely", "did you mean relay?"), ("sonsor", None), ("rely", "did you mean relay?")]
    problems = [
        Problem("Regal", row, "kind", text, f'unknown kind "{text}"', hint) for row, (text, hint) in enumerate(wrong, 2)
    ]

    assert report_text(Report(refused=3, problems=problems), trial=False).splitlines()[1:] == [
        '  Regal, 3 rows  kind: unknown kind "..."',
        '    "rely"  2, 4 (did you mean relay?)',
        '    "sonsor"  3',
    ]


def test_questions_are_numbered_with_their_answers_and_what_is_taken() -> None:
    assert report_text(Report(questions=[RELAIS, WAITS]), trial=True).splitlines()[1:] == [
        "To answer, most rows first:",
        '  1. "relais" in Teil: 41 rows (Regal 2, 3, 4, 5, 6, 7 and 35 more)',
        "     answers: relay, other (something else, the word is kept), any kind. Without",
        "         one: other",
        "  2. up to which day was Regal kept?",
        "     answers: any day. Without one these rows wait",
        "  For example: --answer 1=relay",
    ]


def test_of_many_questions_the_first_are_told_and_those_for_which_rows_wait() -> None:
    lines = report_text(Report(questions=[RELAIS] * 500 + [WAITS]), trial=True).splitlines()
    assert sum(RELAIS.says in line for line in lines) == 30
    assert any(line.startswith("  501. ") for line in lines)
    assert lines[-2] == "  and 470 more that can stay as they are: --json has them all"


def test_the_same_remark_on_several_rows_is_one_and_of_many_the_first_few() -> None:
    said = shown_remarks([*(f"Regal, row {row}: cut" for row in (2, 5, 9)), *(f"note {place}" for place in range(31))])

    assert said[0] == "Regal, row 2, 5, 9: cut"
    assert said[-1] == "And 12 more remarks: --json has them all"


TEXTS = st.text(st.characters(codec="ascii", categories=("L", "N", "P", "Zs")), max_size=200)


@given(TEXTS, TEXTS, TEXTS)
@settings(max_examples=40, deadline=None)
def test_every_line_fits_in_80_columns(one: str, other: str, third: str) -> None:
    report = Report(
        rows=[added(1, one), added(2)],
        problems=[Problem("Regal", 2, "kind", one, f'unknown kind "{one}"', other), Problem("R", 3, "", "", third)],
        questions=[SheetQuestion("x", one, (Choice(other, third),), shown=(third,))],
        remarks=[],
    )

    assert max(map(len, report_text(report, trial=True).splitlines())) <= 80
