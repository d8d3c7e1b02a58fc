"""One fact as a line of words."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from inventory.parts.history import FactView
from tui.words import listed, short_day

__all__ = ["says", "told_by"]


def told_by(fact: FactView) -> str:
    """When it was so, who wrote it down, how it is known."""
    known = "" if fact.how_known == "seen" else f", {fact.how_known}"
    return f"{short_day(fact.on)}, {fact.by}{known}"


def says(fact: FactView) -> str:
    """What a fact says, without when and by whom."""
    word = _SAYS.get(fact.table)
    return word(fact.values) if word else f"{fact.table.replace('_', ' ')}: {_all(fact.values)}"


def _all(values: dict[str, Any]) -> str:
    return "; ".join(
        f"{name.replace('_', ' ')} {value}" for name, value in values.items() if value not in (None, "", {})
    )


def _marking(values: dict[str, Any]) -> str:
    code = values.get("match_code")
    state = values.get("match_code_state")
    read_from = values.get("match_code_read_from")
    coded = f"code {code}{f', from {read_from}' if read_from else ''}" if code else f"code {state}" if state else None
    return "read: " + listed(
        values.get("kind"),
        values.get("maker"),
        values.get("part_number"),
        f"serial {values['serial']}" if values.get("serial") else None,
        f"date code {values['date_code']}" if values.get("date_code") else None,
        coded,
        values.get("marks"),
    )


def _removal(values: dict[str, Any]) -> str:
    place = f"{values.get('position') or 'no position noted'}"
    order = f"{values['sequence']}: " if values.get("sequence") else ""
    more = _all({key: value for key, value in values.items() if key in _HOW_IT_SAT})
    return f"{order}came off the {values.get('car')}, {place}" + (f"; {more}" if more else "")


_HOW_IT_SAT = ("axis", "fasteners", "connections", "mounts", "bag", "car_side")


def _assessment(values: dict[str, Any]) -> str:
    category = values.get("category")
    looks = "condition not given" if category is None else f"condition {category} of 0-3"
    return listed(looks, values.get("damage"), values.get("missing"), values.get("trend"))


def _provenance(values: dict[str, Any]) -> str:
    price = f"{values['price']} {values['currency']}" if values.get("price") else None
    party = f"{values['party']}" if values.get("party") else None
    return listed(values.get("how"), party, price, values.get("text"))


def _mapping(values: dict[str, Any]) -> str:
    return f"answers kept for sheets headed {', '.join(json.loads(values['answers']))}"


_SAYS: dict[str, Callable[[dict[str, Any]], str]] = {
    "sheet_mapping": _mapping,
    "marking": _marking,
    "removal": _removal,
    "assessment": _assessment,
    "provenance": _provenance,
    "seal_sighting": lambda values: f"{values['seal']} {values['state']}",
    "claim": lambda values: listed(
        f'said to be "{values["said"]}"', values.get("party") or values["source"], f"proof {values['proof']}"
    ),
    "fitting": lambda values: f"fitted to the {values.get('car')}, {values.get('position') or 'no position noted'}",
    "move": lambda values: f"put in {values['place']}" if values.get("place") else "taken from where it lay",
    "note": lambda values: str(values["text"]),
    "work": lambda values: listed(values["what"], f"({values['area']})", values.get("product")),
    "valuation": lambda values: listed(
        f"{values['currency']} {values['amount']}", values["basis"], values.get("source"), values.get("capacity")
    ),
    "attachment": lambda values: f"{values.get('document')}, shows {values.get('shows')}",
    "withdrawal": lambda values: f"taken back: {values['fact']}",
    "wrong_clock": lambda values: f"a clock was wrong from {values['from_at']} to {values['until_at']}",
    "bench_run": lambda values: f"{values['procedure']}: {_readings(values['readings'])}",
    "instrument_description": lambda values: listed(
        values.get("name"), values.get("what"), values.get("specification")
    ),
    "calibration": lambda values: f"calibrated: {'passed' if values['result'] == 'passed' else 'did not pass'}",
    "car_description": lambda values: listed(values.get("name"), values.get("maker"), values.get("model")),
    "strip_down": lambda values: "strip-down begun",
    "strip_down_end": lambda values: "strip-down closed",
    "reservation": lambda values: listed(values["state"], values.get("why")),
    "setting": lambda values: listed(
        "set by a specialist",
        *(f"for {values[name]}" for name in ("unit", "unit_number") if values.get(name)),
        values.get("unit_code") and f"code {values['unit_code']}",
        values.get("document"),
    ),
    "stay": lambda values: f"stays on: {values['why']}",
    "contact_description": lambda values: "a person written down",
}


def _readings(readings: Any) -> str:
    if isinstance(readings, dict):
        return ", ".join(f"{name} {value}" for name, value in readings.items())
    return ", ".join(str(reading) for reading in readings)
