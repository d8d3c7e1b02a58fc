"""Overrides the program's reference data with a workshop's. Pure functions of the contents of both files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

__all__ = ["override_figures", "override_kinds", "override_modes", "override_procedures"]

_MERGED = ("procedures", "seals", "nicknames")
_LIMITS = ("low", "high", "at", "good", "standing", "source")


def override_kinds(rows: Sequence[Mapping[str, Any]], own: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The program's kinds with the workshop's additions, and its own kinds before the last one."""
    merged = {row["name"]: dict(row) for row in rows}
    new = []
    for added in own.get("kind", ()):
        if (base := merged.get(added["name"])) is None:
            new.append(dict(added))
            continue
        for name in _MERGED:
            base[name] = list(dict.fromkeys([*base.get(name, ()), *added.get(name, ())]))
    every = list(merged.values())
    return [*every[:-1], *new, every[-1]]


def override_procedures(rows: Sequence[Mapping[str, Any]], own: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The program's procedures with the workshop's limits, then its own procedures."""
    added = [{"method": "limits", "cautions": [], **row} for row in own.get("procedure", ())]
    every = [{**row, "reading": [dict(reading) for reading in row.get("reading", ())]} for row in (*rows, *added)]
    by_name = {row["name"]: row["reading"] for row in every}
    for limit in own.get("limit", ()):
        _override_limit(by_name[limit["procedure"]], limit)
    for row in every:
        row["figures"] = override_figures(row.get("figures", {}), own, row["name"])
    return every


def override_figures(
    figures: Mapping[str, Mapping[str, Any]], own: Mapping[str, Any], procedure: str = ""
) -> dict[str, dict[str, Any]]:
    """The figures of a procedure, or those of every limit (no procedure), with the workshop's own values."""
    found = {name: dict(figure) for name, figure in figures.items()}
    for given in own.get("figure", ()):
        if given.get("procedure", "") == procedure and (figure := found.get(given["name"])) is not None:
            says = (
                f"the workshop's own, {given['value']:g} {figure['unit']}".rstrip() + f", instead of: {figure['says']}"
            )
            figure |= {"value": given["value"], "says": says, "source": given["source"]}
    return found


def override_modes(data: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """The program's failure modes with the shares, the figures and the figures of tests that the workshop gives."""
    kinds = [dict(row) for row in data["kind"]]
    for counted in own.get("modes", ()):
        row = next(row for row in kinds if row["name"] == counted["kind"])
        shares = counted.get("share", {})
        row["mode"] = [{**mode, "share": shares.get(mode["name"], mode["share"])} for mode in row["mode"]]
        row["good"] = counted.get("good", row["good"])
        row |= {"standing": "workshop judgement", "source": counted["source"]}
    return {**data, "kind": kinds, **{table: _with_entries(data[table], own, table) for table in ("figure", "test")}}


def _with_entries(on_file: Mapping[str, Any], own: Mapping[str, Any], table: str) -> dict[str, Any]:
    """A table by name with the workshop's entries, which have the standing of its judgement."""
    merged = {name: dict(row) for name, row in on_file.items()}
    for entry in own.get(table, ()):
        if entry.get("procedure") or entry["name"] not in merged:
            continue  # a figure of a procedure, or of every limit
        given = {key: value for key, value in entry.items() if key != "name"}
        merged[entry["name"]] |= {**given, "standing": "workshop judgement"}
    return merged


def _override_limit(readings: list[dict[str, Any]], limit: Mapping[str, Any]) -> None:
    """Replace the limit on file with a workshop's; add it if it is new or for one part number only."""
    given = {name: value for name, value in limit.items() if name not in ("procedure", "reading")}
    given |= {"name": limit["reading"], "own": True}
    same = [row for row in readings if row["kind"] == limit["kind"] and row["name"] == limit["reading"]]
    base = next((row for row in same if not row.get("number")), {})
    row = {**{name: value for name, value in base.items() if name not in _LIMITS}, **given}
    if row.get("good"):
        row["words"] = list(dict.fromkeys([*row.get("words", ()), *row["good"]]))
    if not limit.get("number") and base:
        readings[readings.index(base)] = row
    else:
        readings.append(row)
