"""A unit that was left out is asked about only where the prefix decides between fail and pass."""

from __future__ import annotations

import pytest

from inventory.bench.one_prefix_up import one_prefix_up
from inventory.bench.typed_run import RunContext, TypedRun
from inventory.reference.data import PROGRAM


@pytest.mark.parametrize(
    ("procedure", "kind", "reading", "taken", "up"),
    [
        ("insulation", "pressure sensor", "primary to case=5", None, None),
        ("resistance", "pressure sensor", "primary=0.0941", "0.0941 ohm", "0.0941 kohm"),
        ("resistance", "pressure sensor", "primary=0,0941", "0,0941 ohm", "0,0941 kohm"),
        ("resistance", "pressure sensor", "primary=0.0941ohm", None, None),
        ("resistance", "pressure sensor", "primary=94", None, None),
        ("resistance", "pressure sensor", "primary=0.5", None, None),
        ("resistance", "pressure sensor", "primary=ninety", None, None),
        ("resistance", "pressure sensor", "primary", None, None),
        ("resistance", "cold-start injector", "coil=0.004", None, None),
        ("supply", "pressure sensor", "supply=0.012", None, None),
        ("hold", "pressure sensor", "0s=50", None, None),
    ],
)
def test_which_reading_is_asked_about(
    procedure: str, kind: str, reading: str, taken: str | None, up: str | None
) -> None:
    found = one_prefix_up(TypedRun(procedure, ("secondary=360", reading)), RunContext(kind, PROGRAM))

    assert [(each.place, each.taken, each.up) for each in found] == ([(1, taken, up)] if taken else [])
