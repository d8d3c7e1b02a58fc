"""A leak test given as one reading left after a time: short, it counts only on a rig that is cleared."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.bench.typed_run import RigDay, RigRun
from tests.judging import context, judge

TIGHT, LEAKS = ["0min=2.5bar", "10min=2.5bar"], ["0min=2.5bar", "10min=1.5bar"]
SHORT = ("start=2.4bar", "10min=0.3bar")


def other(fact: str, readings: tuple[str, ...] = (), thing: int = 2, **conditions: Any) -> RigRun:
    beside = {name.replace("_", " "): value for name, value in conditions.items()}
    return RigRun(fact, thing, "check valve", readings, {"rig": "test gauge", **beside})


BLANK, LEAK = other("b", blank=TIGHT), other("l", blank=LEAKS)
HELD = other("p", ("10min=2.0bar",))


@pytest.mark.parametrize(
    ("before", "after", "beside", "by"),
    [
        ([], [], {}, None),
        ([], [], {"blank": TIGHT}, "own blank"),
        ([], [], {"blank": LEAKS}, None),
        ([], [], {"blank": ["0min=2.5bar", "5min=2.5bar"]}, None),
        ([], [], {"blank": ["0min=1.0bar", "10min=1.0bar"]}, None),
        ([], [], {"blank": ["0min=2.0bar", "10min=2.5bar"]}, None),
        ([BLANK], [], {}, "b"),
        ([], [BLANK], {}, "b"),
        ([HELD], [], {}, "p"),
        ([], [HELD], {}, None),
        ([other("same", ("10min=2.0bar",), thing=1)], [], {}, None),
        ([other("short", ("10min=0.4bar",))], [], {}, None),
        ([other("unread", ("10min=2.0ohm",))], [], {}, None),
        ([BLANK], [LEAK], {}, None),
        ([LEAK], [], {"blank": TIGHT}, None),
        ([LEAK], [], {"blank": TIGHT, "rig mended": "yes"}, "own blank"),
        ([LEAK, other("m", blank=TIGHT, rig_mended="yes")], [], {}, "m"),
        ([BLANK], [other("m", blank=LEAKS, rig_mended="yes")], {}, "b"),
        ([BLANK], [], {"rig mended": "yes"}, None),
    ],
)
def test_what_clears_the_rig(before: list[RigRun], after: list[RigRun], beside: dict[str, Any], by: str | None) -> None:
    day = RigDay(1, tuple(before), tuple(after))

    run = judge("check valve", "fuel pump", SHORT, {"rig": "test gauge", **beside}, context(same_rig=day))

    assert (run.verdict, run.figures["rig_cleared_by"]) == ("fail" if by else "undecided", by)
    assert run.figures["short_uncleared"] is (by is None)
    assert ("fell to 0.3 bar in 10 min, rig not proved (at least 1 bar after 10 min): " in run.says) is (by is None)


def test_a_pass_needs_no_blank() -> None:
    run = judge("check valve", "fuel pump", ("10min=2.0bar",), {"rig": "test gauge", "blank": LEAKS})

    assert (run.verdict, run.figures["rig_cleared"]) == ("pass", None)
