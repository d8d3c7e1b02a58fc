"""Checks the shape of a workshop's file of reference data: its tables, their keys, the types of values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import Any

from inventory.errors import did_you_mean

__all__ = ["EntryError", "Path", "check_shapes", "rows"]

Path = tuple[str | int, ...]
"""The place of an entry in the data: names of tables and keys, indices in lists."""

_TEXT, _TEXTS, _NUMBER, _FLAG, _TABLE, _TABLES = (
    "text",
    "a list of texts",
    "a number",
    "true or false",
    "a table",
    "tables",
)
_LIMIT = {
    "unit": _TEXT,
    "law": _TEXT,
    "form": _TEXT,
    "low": _NUMBER,
    "high": _NUMBER,
    "words": _TEXTS,
    "good": _TEXTS,
    "needs": _TEXTS,
    "at": _TABLES,
    "of": _TEXT,
    "to": _TEXT,
    "cautions": _TEXTS,
    "remark": _TEXT,
    "required": _FLAG,
    "standing": _TEXT,
    "source": _TEXT,
}
_SHAPES: dict[str, dict[str, str]] = {
    "kind": {
        **dict.fromkeys(("name", "plural"), _TEXT),
        **dict.fromkeys(("seals", "procedures", "nicknames"), _TEXTS),
        **dict.fromkeys(("match_code", "moving_element"), _FLAG),
    },
    "procedure": {
        **dict.fromkeys(("name", "title", "shows", "reads"), _TEXT),
        **dict.fromkeys(("steps", "cautions", "beside"), _TEXTS),
        "reading": _TABLES,
    },
    "reading": {"kind": _TEXT, "name": _TEXT, **_LIMIT},
    "limit": {**dict.fromkeys(("procedure", "kind", "reading", "number"), _TEXT), **_LIMIT},
    "figure": {**dict.fromkeys(("procedure", "name", "source"), _TEXT), "value": _NUMBER},
    "at": {"condition": _TEXT, "low": _NUMBER, "high": _NUMBER, "unit": _TEXT},
    "pins": {"number": _TEXT, "pins": _TABLE, "source": _TEXT},
    "seals": {"number": _TEXT, "seals": _TEXTS, "source": _TEXT},
    "modes": {"kind": _TEXT, "good": _NUMBER, "share": _TABLE, "source": _TEXT},
    "build_list": {**dict.fromkeys(("name", "standing", "source"), _TEXT), "position": _TABLES},
    "position": {
        **dict.fromkeys(("name", "kind", "part_number", "axis", "area"), _TEXT),
        **dict.fromkeys(("numbers", "fasteners", "connections", "mounts", "behind"), _TEXTS),
        "each_cylinder": _FLAG,
    },
    "test": {"name": _TEXT, "false_alarm": _NUMBER, "minutes": _NUMBER, "source": _TEXT},
}
_WANTED: dict[str, tuple[str, ...]] = {
    "kind": ("name",),
    "procedure": ("name", "title", "shows", "reads", "steps", "reading"),
    "reading": ("kind", "name", "form"),
    "limit": ("procedure", "kind", "reading", "source"),
    "figure": ("name", "value", "source"),
    "at": ("condition", "low", "high", "unit"),
    "pins": ("number", "pins", "source"),
    "seals": ("number", "seals", "source"),
    "modes": ("kind", "source"),
    "build_list": ("name", "source", "position"),
    "position": ("name", "kind"),
    "test": ("name", "source"),
}
_TOP = ("kind", "procedure", "limit", "figure", "pins", "seals", "modes", "test", "build_list")


class EntryError(Exception):
    """A wrong entry, and its place in the data."""

    def __init__(self, where: Path, says: str) -> None:
        super().__init__(says)
        self.where = where
        self.says = says


def check_shapes(data: Mapping[str, Any]) -> None:
    """Raise `EntryError` for the first table with a missing or unknown key, or a value of the wrong type."""
    _check_keys(data, _TOP, ())
    for name in _TOP:
        _check_tables(data, name, ())


def _check_tables(data: Mapping[str, Any], name: str, where: Path) -> None:
    """Check the tables of a name, and those within them."""
    for inner, row in rows(data, name, where):
        _check_table(name, row, inner)
        for key in row:
            if _SHAPES[name][key] == _TABLES:
                _check_tables(row, key, inner)


def rows(data: Mapping[str, Any], name: str, where: Path) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    """The tables of a name, each with its place. Raises `EntryError` if the name is not a list of tables."""
    several = data.get(name, [])
    if not isinstance(several, list) or not all(isinstance(row, dict) for row in several):
        raise EntryError((*where, name), f"write it as [[{name}]]: there may be several")
    for place, row in enumerate(several):
        yield (*where, name, place), row


def _check_table(name: str, row: Mapping[str, Any], where: Path) -> None:
    """Check that a table has the keys it needs, no others, and values of the right types."""
    shape = _SHAPES[name]
    _check_keys(row, tuple(shape), where)
    for key in _WANTED[name]:
        if row.get(key) in (None, "", [], {}):
            raise EntryError(where, f"{key} is not given")
    for key, value in row.items():
        if shape[key] != _TABLES and not _has_sort(shape[key], value):
            raise EntryError((*where, key), f"{key} must be {shape[key]}")


def _check_keys(row: Mapping[str, Any], known: tuple[str, ...], where: Path) -> None:
    for key in row:
        if key not in known:
            near = get_close_matches(key, known, n=1, cutoff=0.6)
            hint = did_you_mean(near) if near else f"one of: {', '.join(known)}"
            raise EntryError((*where, key), f'unknown key "{key}" ({hint})')


def _has_sort(sort: str, value: Any) -> bool:
    if sort == _TEXTS:
        return isinstance(value, list) and all(isinstance(each, str) for each in value)
    if sort == _NUMBER:
        return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e12
    sorts = {_TEXT: str, _FLAG: bool, _TABLE: dict}
    return isinstance(value, sorts[sort])
