"""Readings at the control unit's plug: what they prove of the part, and what lies between."""

from __future__ import annotations

import pytest

from inventory.bench.methods.limits.loom import Reading, loom_difference
from tests.judging import judge

CLOSED = ["idle contact=closed", "idle contact off idle=open"]


@pytest.mark.parametrize(
    ("part", "plug", "difference", "doubt", "says"),
    [
        (Reading(94.1, 1.0, "ohm", "a"), Reading(97.6, 1.0, "ohm", "b"), 3.5, 2**0.5,
         "3.5 ohm, give or take 1.4 more at the plug: the wires and terminals of the loom"),
        (Reading(94.1, 1.0, "ohm", "a"), Reading(94.5, 1.0, "ohm", "b"), 0.4, 2**0.5,
         "0.4 ohm, give or take 1.4: within the meter's error, so it shows nothing of the loom"),
        (Reading(2500.0, 20.0, "ohm", "a"), Reading(2000.0, 20.0, "ohm", "b"), -500.0, 20 * 2**0.5,
         "500 ohm, give or take 28 less at the plug: the loom leaks between wires, or the part was at another temperature"),
        (Reading(94.1, 1.0, "ohm", "a"), Reading(None, None, "ohm", "b"), None, None,
         "beyond the range at the plug but not at the part: a wire or terminal of the loom is open"),
        (Reading(None, None, "ohm", "a"), Reading(2e5, 1e3, "ohm", "b"), None, None,
         "less at the plug than at the part: the loom leaks between two wires, or to earth"),
        (Reading(None, None, "ohm", "a"), Reading(None, None, "ohm", "b"), None, None,
         "beyond the range at both: it says nothing about the loom"),
        (Reading(94.1, None, "ohm", "a"), Reading(97.6, 1.0, "ohm", "b"), 3.5, None,
         "3.5 ohm difference; the meter's accuracy is not known here, so it is not judged"),
    ],
)  # fmt: skip
def test_what_differs_between_part_and_plug_is_the_looms(
    part: Reading, plug: Reading, difference: float | None, doubt: float | None, says: str
) -> None:
    found = loom_difference("resistance", "primary", part, plug)

    assert found.says == f"resistance, primary, part and plug: {says}"
    assert found.difference == (None if difference is None else pytest.approx(difference))
    assert found.expanded_uncertainty == (None if doubt is None else pytest.approx(doubt))
    assert found.reason.facts == ("a", "b")


def test_a_fault_seen_at_the_plug_may_be_the_looms() -> None:
    at_part = judge("contacts", "throttle switch", [*CLOSED, "closed=4.0ohm"], {"at": "part"})
    at_plug = judge("contacts", "throttle switch", [*CLOSED, "closed=4.0ohm"], {"at": "plug"})

    assert at_part.verdict == "fail"
    assert at_plug.verdict == "undecided"
    assert (
        at_plug.says
        == f"{at_part.says}; measured at the control unit's plug, so it may be the loom: measure at the part"
    )


def test_what_passes_at_the_plug_passes_part_and_loom() -> None:
    found = judge("resistance", "pressure sensor", ["primary=90ohm"], {"at": "Plug", "ambient": "20degC"})

    assert found.verdict == "pass"
    assert found.reasons[-1].says == "measured at the control unit's plug: part and loom together"
