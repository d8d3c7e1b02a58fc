"""Rows as lines of JSON: a row is an array of its columns, which are integers, text and null.

Bytes and undecodable text, which only damage brings, are written as objects.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import orjson

__all__ = ["Undecoded", "line_of", "lines_of", "rows_in"]


_SORTS = frozenset({int, str, type(None), float, dict})


class Undecoded(bytes):
    """A text that is not UTF-8."""


def lines_of(rows: Iterable[Sequence[Any]]) -> list[bytes]:
    """A line for each row."""
    rows = list(rows)
    try:
        return [orjson.dumps(row) for row in rows]
    except (TypeError, ValueError):
        return [line_of(row) for row in rows]


def line_of(row: Sequence[Any]) -> bytes:
    """One row, whatever stands in it."""
    return json.dumps([_written(value) for value in row], ensure_ascii=False).encode()


def rows_in(held: bytes) -> Iterator[list[Any]]:
    """The rows of some lines. Raises `ValueError` where one is no row."""
    for line in held.removesuffix(b"\n").split(b"\n"):
        row = orjson.loads(line)
        if type(row) is not list or not _SORTS.issuperset(map(type, row)):
            raise ValueError("no row")
        yield row if dict not in map(type, row) else [_read(value) for value in row]


def _written(value: Any) -> Any:
    if isinstance(value, bytes):
        return {"bytes": value.hex()}
    if isinstance(value, str):
        try:
            value.encode()
        except UnicodeEncodeError:
            return {"undecoded": value.encode("utf-8", "surrogateescape").hex()}
    return value


def _read(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    ((sort, text),) = value.items()
    return bytes.fromhex(str(text)) if sort == "bytes" else Undecoded.fromhex(str(text))
