"""The sizes of fasteners.toml against published tables, and the laws they must obey."""

from __future__ import annotations

import pytest

from inventory.hardware.compare import clearance_hole
from inventory.hardware.parse import parse
from inventory.hardware.threads import unified_inches
from inventory.reference.fasteners import fasteners

#: ISO 261 coarse pitches and across flats (M10 and M12 in the older sizes), as in a printed data handbook.
COARSE = {
    3: (0.5, 5.5),
    4: (0.7, 7),
    5: (0.8, 8),
    6: (1, 10),
    8: (1.25, 13),
    10: (1.5, 17),
    12: (1.75, 19),
    16: (2, 24),
}
#: Unified sizes, UNC and UNF, with diameters in inches (ASME B1.1, as tabulated for machine screws).
UNIFIED = {
    "0": (0.0600, 0, 80), "1": (0.0730, 64, 72), "2": (0.0860, 56, 64), "3": (0.0990, 48, 56), "4": (0.1120, 40, 48),
    "5": (0.1250, 40, 44), "6": (0.1380, 32, 40), "8": (0.1640, 32, 36), "10": (0.1900, 24, 32), "12": (0.2160, 24, 28),
    "1/4": (0.2500, 20, 28), "5/16": (0.3125, 18, 24), "3/8": (0.3750, 16, 24), "7/16": (0.4375, 14, 20),
    "1/2": (0.5000, 13, 20), "9/16": (0.5625, 12, 18), "5/8": (0.6250, 11, 18), "3/4": (0.7500, 10, 16),
}  # fmt: skip


def test_metric_sizes() -> None:
    data = fasteners()
    for size, (pitch, flats) in COARSE.items():
        assert data.pitches[str(size)][0] == pitch
        assert data.across_flats[str(size)][0] == flats
    for size, pitches in data.pitches.items():
        assert list(pitches) == sorted(pitches, reverse=True)
        assert pitches[0] < float(size) / 3
    assert (clearance_hole(parse("M6x20")), clearance_hole(parse("M10x1.25 nut"))) == ((6.4, 6.6, 7.0), (10.5, 11, 12))
    for size, holes in data.holes.items():
        assert float(size) < holes[0] < holes[1] < holes[2]


def test_unified_sizes() -> None:
    data = fasteners()
    assert {size: (unified_inches(size), *tpi) for size, tpi in data.tpi.items()} == {
        size: (pytest.approx(inches), coarse, fine) for size, (inches, coarse, fine) in UNIFIED.items()
    }


def test_a_numbered_sheet_metal_screw_has_about_the_diameter_of_its_number() -> None:
    """ISO 1478 took the numbered sizes over in mm: No. 12 is 0.216 in, ST5.5."""
    for number, size in fasteners().tapping.items():
        assert float(size) == pytest.approx(unified_inches(number) * 25.4, abs=0.16)
