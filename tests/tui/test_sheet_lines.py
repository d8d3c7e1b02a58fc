"""The question of a sheet on the line at the foot, what typed words answer, and how long lines fit. No screen."""

from __future__ import annotations

import pytest

from inventory.sheets.columns.questions import Choice, SheetQuestion, choice_meant
from tui.data.trial_told import said_for_people
from tui.foot import asked
from tui.widgets.sheet_lines import drawn, prompt

KIND = SheetQuestion(
    "word/kind/relais", '"relais" in Teil', (Choice("relay", "relay"), Choice("other", "other")), (), "other", "kind"
)
WORN = SheetQuestion(
    "word/condition/gut",
    '"gut" in Zustand',
    (
        *(Choice(each, f"category {each}") for each in "0123"),
        Choice("not known", "not known"),
        Choice("text", "keep as text"),
    ),
    (),
    "text",
    "condition",
)
LONG = SheetQuestion(
    "colour/FFFF00",
    "39 rows are yellow, and no words of the Donaudampfschifffahrtsgesellschaftslieferschein say what it means",
    (Choice("mark", 'a mark with the words "yellow in the sheet"'), Choice("nothing", "it means nothing")),
    tuple(("Regal", number) for number in range(39)),
    "mark",
)


@pytest.mark.parametrize("question", [KIND, WORN, LONG])
@pytest.mark.parametrize("width", [60, 80, 160])
def test_the_choices_stand_at_the_foot_or_in_the_body_and_are_never_cut(question: SheetQuestion, width: int) -> None:
    at_foot, in_full = prompt(question, width)
    line = asked(at_foot, width)
    assert len(line) <= width
    assert "\N{HORIZONTAL ELLIPSIS} >" not in line
    assert in_full == all(each.says in line for each in question.choices)
    assert "Enter as taken" in line or in_full
    row = drawn(question, width - 3).plain
    assert len(row) <= width - 3
    assert question.says[:20] in row


@pytest.mark.parametrize(
    ("question", "words", "answer"),
    [
        (KIND, "1", "relay"),
        (KIND, "RELAY", "relay"),
        (KIND, "rel", "rel"),  # a word of one's own: the first letters of a choice may be another kind
        (KIND, "fuel pump", "fuel pump"),
        (WORN, "2", "2"),  # a condition, not the second choice
        (WORN, "keep as text", "text"),
        (LONG, "2", "nothing"),
        (LONG, "it", "nothing"),
        (LONG, "3", ""),
        (LONG, "perhaps", ""),
    ],
)
def test_what_typed_words_answer(question: SheetQuestion, words: str, answer: str) -> None:
    assert choice_meant(question, words) == answer


@pytest.mark.parametrize(
    ("says", "left"),
    [
        (
            'The sheet "old" is hidden and was not read: to read it, --hidden',
            'The sheet "old" is hidden and was not read',
        ),
        ("name the currency: --currency EUR", "name the currency"),
        ("near: relay, series resistor", "near: relay, series resistor"),
        ("matchmark fact list T", ""),
    ],
)
def test_no_hint_is_a_command_line(says: str, left: str) -> None:
    assert said_for_people(says) == left
