"""The curve of a sweep: down, back up, and the reference. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tui.data.entries import Curve, Line

__all__ = ["sweep_curve"]

_OTHERS = (("reference_down_h", "reference", "+"), ("up_h", "up", "^"))


def sweep_curve(figures: Mapping[str, object]) -> Curve | None:
    """Inductance [H] against vacuum, in the gauge's unit if all readings use it, else in kPa; None below two points."""
    rows = figures.get("rows")
    if not isinstance(rows, list):
        return None
    unit, vacua = _vacua(rows)
    drawn = {
        name: tuple((vacuum, row[name]) for vacuum, row in zip(vacua, rows, strict=True) if row[name] is not None)
        for name in ("down_h", *(name for name, _, _ in _OTHERS))
    }
    if len(drawn["down_h"]) < 2:
        return None
    others = tuple(Line(name, sign, drawn[key]) for key, name, sign in _OTHERS if drawn[key])
    return Curve(drawn["down_h"], "H", across=unit, name="down", others=others)


def _vacua(rows: list[dict[str, Any]]) -> tuple[str, list[float]]:
    """The unit of the vacuum readings, and each reading in it."""
    typed = [str(row["vacuum"]).partition(" ") for row in rows]
    units = {unit for _, _, unit in typed}
    if len(units) == 1:
        return units.pop(), [float(number.replace(",", ".")) for number, _, _ in typed]
    return "kPa", [row["vacuum_pa"] / 1000.0 for row in rows]
