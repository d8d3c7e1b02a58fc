"""Scan or typing: by form, and by time only where it makes the program more careful."""

from __future__ import annotations

import pytest

from inventory.parts.tags import is_tag, issue
from tui.scan import BURST_GAP_S, ENTER_GAP_S, KeyTimes, ScannedTag, is_repeat, pressed_by_hand, tag_in_answer

pytestmark = pytest.mark.usefixtures("scanner")


@pytest.fixture
def tag() -> str:
    return issue(1, lambda _: ())[0]


def typed(text: str, *, gap: float, after: KeyTimes | None = None, pause: float = 1.0) -> KeyTimes:
    strokes = after or KeyTimes()
    start = (strokes.last or 0.0) + pause
    for place, _ in enumerate(text):
        strokes.typed(start + place * gap)
    return strokes


def test_enter_of_a_scanner_does_not_confirm_and_a_hand_does() -> None:
    assert not pressed_by_hand(10.0, 10.0 + ENTER_GAP_S / 10)
    assert pressed_by_hand(10.0, 10.0 + ENTER_GAP_S * 2)


def test_enter_on_an_empty_line_confirms() -> None:
    assert pressed_by_hand(None, 10.0)


def test_second_of_enter_and_line_feed_is_dropped() -> None:
    assert is_repeat(5.0, 5.005)
    assert not is_repeat(5.0, 5.2)
    assert not is_repeat(None, 5.0)


def test_burst_counts_only_what_came_at_once() -> None:
    strokes = typed("one stud", gap=0.2)
    typed("K41277", gap=0.0005, after=strokes)

    assert strokes.burst == 6


@pytest.mark.parametrize("dash", [True, False])
def test_scanned_tag_is_taken_out_of_a_note(tag: str, dash: bool) -> None:
    scanned = tag if dash else tag.replace("-", "")
    strokes = typed("one stud bent", gap=0.15)
    typed(scanned, gap=0.0006, after=strokes)

    assert tag_in_answer("one stud bent" + scanned, strokes, is_tag) == ScannedTag("one stud bent", scanned)


def test_tag_typed_by_hand_stays_in_the_note(tag: str) -> None:
    strokes = typed(f"see {tag}", gap=BURST_GAP_S * 3)

    assert tag_in_answer(f"see {tag}", strokes, is_tag) is None


def test_burst_that_is_no_tag_stays_in_the_note() -> None:
    strokes = typed("see ", gap=0.2)
    typed("ABCDEF", gap=0.0005, after=strokes)

    assert tag_in_answer("see ABCDEF", strokes, is_tag) is None


def test_tag_alone_on_the_line_is_no_interruption(tag: str) -> None:
    assert tag_in_answer(tag, typed(tag, gap=0.0005), is_tag) is None


def test_forgotten_strokes_are_no_burst() -> None:
    strokes = typed("K41277", gap=0.0005)
    strokes.forget()

    assert strokes.burst == 0
    assert strokes.last is None
