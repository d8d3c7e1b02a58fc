"""A workshop's file of reference data, read and checked: what cannot stand is refused with its file and line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from importlib.resources import files
from typing import Any, get_args

from inventory.errors import Refused
from inventory.reasons import Standing
from inventory.reference.forms import BESIDE, FORMS, UNITS

__all__ = ["line_of", "read"]

Path = tuple[str | int, ...]

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
    "at": {"condition": _TEXT, "low": _NUMBER, "high": _NUMBER, "unit": _TEXT},
    "pins": {"number": _TEXT, "pins": _TABLE, "source": _TEXT},
    "seals": {"number": _TEXT, "seals": _TEXTS, "source": _TEXT},
    "modes": {"kind": _TEXT, "good": _NUMBER, "share": _TABLE, "source": _TEXT},
}
_WANTED: dict[str, tuple[str, ...]] = {
    "kind": ("name",),
    "procedure": ("name", "title", "shows", "reads", "steps", "reading"),
    "reading": ("kind", "name", "form"),
    "limit": ("procedure", "kind", "reading", "source"),
    "at": ("condition", "low", "high", "unit"),
    "pins": ("number", "pins", "source"),
    "seals": ("number", "seals", "source"),
    "modes": ("kind", "source"),
}
_TOP = ("kind", "procedure", "limit", "pins", "seals", "modes")
_CAR = "car"
_LIMITED_METHODS = ("curve", "limits", "resistance")
_PART = re.compile(r"\"([^\"]*)\"|'([^']*)'|([A-Za-z0-9_-]+)")
_HEADER = re.compile(r"\s*(\[\[?)([^\[\]]+)\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*(\"[^\"]*\"|'[^']*'|[A-Za-z0-9_-]+)\s*=")


class _Wrong(Exception):
    """An entry that cannot stand, and where it is among the data."""

    def __init__(self, where: Path, says: str) -> None:
        super().__init__(says)
        self.where = where
        self.says = says


def read(text: str, file: str) -> dict[str, Any]:
    """The contents of a workshop's file. Raises `Refused`, naming file and line, for the first entry that is wrong."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        found = re.search(r"line (\d+)", str(problem))
        line = int(found[1]) if found else text.count("\n") + 1
        says = re.sub(r"\s*\(at .*\)$", "", str(problem))
        raise _refused(file, line, f"this is no TOML: {says[:1].lower()}{says[1:]}") from None
    try:
        _check(data)
    except _Wrong as wrong:
        raise _refused(file, line_of(text, wrong.where), wrong.says) from None
    return data


def line_of(text: str, where: Path) -> int:
    """The line, from 1, on which an entry of a TOML text stands: its key, else the head of the table it belongs in."""
    best, depth = 1, 0
    table: Path = ()
    counts: dict[Path, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        here: Path
        if header := _HEADER.match(line):
            names = _names(header[2])
            table = _table(names, counts, another=header[1] == "[[")
            here = table
        elif key := _KEY.match(line):
            here = (*table, *_names(key[1]))
        else:
            continue
        if len(here) > depth and here == where[: len(here)]:
            best, depth = number, len(here)
    return best


def _names(text: str) -> tuple[str, ...]:
    return tuple(next(part for part in found if part) for found in _PART.findall(text) if any(found))


def _table(names: tuple[str, ...], counts: dict[Path, int], *, another: bool) -> Path:
    """The path of a table whose head was just met; `counts` holds how many of each list of tables there were."""
    path: Path = ()
    for place, name in enumerate(names, 1):
        path = (*path, name)
        if another and place == len(names):
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _refused(file: str, line: int, says: str) -> Refused:
    return Refused(
        "workshop-entry",
        f"{file}, line {line}: {says}",
        where=f"{file}:{line}",
        hint="mend that line, or move the file away to work with the program's own reference data",
    )


def _check(data: Mapping[str, Any]) -> None:
    """Raise `_Wrong` for the first entry that cannot stand."""
    _known_keys(data, _TOP, ())
    for name in _TOP:
        _shapes(data, name, ())
    _meant(data)


def _shapes(data: Mapping[str, Any], name: str, where: Path) -> None:
    """Whether the tables of a name, and those within them, have the keys they need and no other."""
    for inner, row in _rows(data, name, where):
        _shape(name, row, inner)
        for key in row:
            if _SHAPES[name][key] == _TABLES:
                _shapes(row, key, inner)


def _rows(data: Mapping[str, Any], name: str, where: Path) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    rows = data.get(name, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise _Wrong((*where, name), f"write it as [[{name}]]: there may be several")
    for place, row in enumerate(rows):
        yield (*where, name, place), row


def _shape(name: str, row: Mapping[str, Any], where: Path) -> None:
    """Whether a table has the keys it needs, no other, and values of their sort."""
    shape = _SHAPES[name]
    _known_keys(row, tuple(shape), where)
    for key in _WANTED[name]:
        if row.get(key) in (None, "", [], {}):
            raise _Wrong(where, f"{key} is not given")
    for key, value in row.items():
        if shape[key] != _TABLES and not _is(shape[key], value):
            raise _Wrong((*where, key), f"{key} is to be {shape[key]}")


def _known_keys(row: Mapping[str, Any], known: tuple[str, ...], where: Path) -> None:
    for key in row:
        if key not in known:
            near = get_close_matches(key, known, n=1, cutoff=0.6)
            hint = f"near: {near[0]}" if near else f"one of: {', '.join(known)}"
            raise _Wrong((*where, key), f'nothing is called "{key}" here ({hint})')


def _is(sort: str, value: Any) -> bool:
    if sort == _TEXTS:
        return isinstance(value, list) and all(isinstance(each, str) for each in value)
    if sort == _NUMBER:
        return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e12
    sorts = {_TEXT: str, _FLAG: bool, _TABLE: dict}
    return isinstance(value, sorts[sort])


def _meant(data: Mapping[str, Any]) -> None:
    """Whether what the entries name is there, and what they say can be so."""
    shipped = _Shipped.now()
    kinds = {**shipped.kinds, **{row["name"]: () for row in data.get("kind", ())}}
    methods = {**shipped.methods, **{row["name"]: "limits" for row in data.get("procedure", ())}}
    done: dict[str, set[str]] = {name: set(procedures) for name, procedures in kinds.items()}
    for where, row in _rows(data, "procedure", ()):
        if row["name"] in shipped.methods or row["name"] != row["name"].casefold():
            raise _Wrong((*where, "name"), "a procedure of your own wants a name of its own, in small letters")
        for inner, reading in _rows(row, "reading", where):
            _limit(reading, inner, kinds, shipped.cautions)
        _each((*where, "cautions"), "caution", row.get("cautions", ()), shipped.cautions)
        _each((*where, "beside"), "thing noted beside", row.get("beside", ()), BESIDE)
    for where, row in _rows(data, "kind", ()):
        if row["name"] == _CAR:
            raise _Wrong((*where, "name"), "a car is no kind of part; limits for one stand under [[limit]]")
        for each in row.get("procedures", ()):
            _one_of((*where, "procedures"), "procedure", each, methods)
            done[row["name"]].add(each)
        if row["name"] not in shipped.kinds and not row.get("plural"):
            raise _Wrong(where, f"how more than one {row['name']} is called (plural) is not given")
    for where, row in _rows(data, "limit", ()):
        _limit(row, where, kinds, shipped.cautions)
        _one_of((*where, "procedure"), "procedure", row["procedure"], methods)
        if methods[row["procedure"]] not in _LIMITED_METHODS:
            raise _Wrong((*where, "procedure"), f"a {row['procedure']} is not judged by limits of single readings")
        if row["procedure"] not in done[row["kind"]]:
            says = f"no {row['procedure']} is done on a {row['kind']}: name it under its kind's procedures first"
            raise _Wrong((*where, "procedure"), says)
        _figures(row, where, shipped.forms.get((row["procedure"], row["kind"], row["reading"]), ""))
    for where, row in _rows(data, "modes", ()):
        _shares(row, where, _modes_on_file())


def _limit(row: Mapping[str, Any], where: Path, kinds: Mapping[str, Any], cautions: tuple[str, ...]) -> None:
    _one_of((*where, "kind"), "kind", row["kind"], kinds)
    for key, known in (("unit", UNITS), ("form", FORMS), ("standing", get_args(Standing))):
        if key in row:
            _one_of((*where, key), key, row[key], known)
    _each((*where, "cautions"), "caution", row.get("cautions", ()), cautions)
    _each((*where, "needs"), "thing noted beside", row.get("needs", ()), BESIDE)
    for inner, at in _rows(row, "at", where):
        _one_of((*inner, "condition"), "thing noted beside", at["condition"], BESIDE)
        _one_of((*inner, "unit"), "unit", at["unit"], UNITS)
    for holder, there in ((row, where), *((at, inner) for inner, at in _rows(row, "at", where))):
        if "low" in holder and "high" in holder and holder["low"] > holder["high"]:
            raise _Wrong((*there, "low"), f"low is {holder['low']:g}, above high, {holder['high']:g}")


def _figures(row: Mapping[str, Any], where: Path, form_on_file: str) -> None:
    """A limit gives a figure, and none that its form has no use for."""
    form = row.get("form") or form_on_file
    takes = FORMS.get(form, ("low", "high"))
    for key in ("low", "high", "good"):
        if key in row and key not in takes:
            raise _Wrong((*where, key), f'the form "{form}" takes {" and ".join(takes)}, no {key}')
    if not any(key in row for key in takes):
        raise _Wrong(where, f"no figure is given: {' or '.join(takes)}")


def _shares(row: Mapping[str, Any], where: Path, modes: Mapping[str, dict[str, float]]) -> None:
    _one_of((*where, "kind"), "kind with ways of failing", row["kind"], modes)
    good, shares = row.get("good"), row.get("share", {})
    if good is not None and not 0.0 < good < 1.0:
        raise _Wrong((*where, "good"), "good is a share, between 0 and 1")
    for name, share in shares.items():
        _one_of((*where, "share", name), f"way that a {row['kind']} fails,", name, modes[row["kind"]])
        if not _is(_NUMBER, share) or not 0.0 <= share <= 1.0:
            raise _Wrong((*where, "share", name), f"{name}: a share lies between 0 and 1")
    whole = sum((modes[row["kind"]] | shares).values())
    if shares and abs(whole - 1.0) > 0.001:
        raise _Wrong((*where, "share"), f"the shares come to {whole:.3g} and should come to 1")


def _each(where: Path, what: str, names: Any, known: Any) -> None:
    for name in names:
        _one_of(where, what, name, known)


def _one_of(where: Path, what: str, name: str, known: Any) -> None:
    if name not in known:
        near = get_close_matches(name, list(known), n=3, cutoff=0.5) or list(known)
        raise _Wrong(where, f'no {what} "{name}" ({"near" if len(near) <= 3 else "one of"}: {", ".join(near)})')


@dataclass(frozen=True)
class _Shipped:
    """The names in the program's own data: kinds with their procedures, methods, cautions, forms of the limits."""

    kinds: dict[str, tuple[str, ...]]
    methods: dict[str, str]
    cautions: tuple[str, ...]
    forms: dict[tuple[str, str, str], str]

    @classmethod
    def now(cls) -> _Shipped:
        """Asked while no workshop's file is in force."""
        from inventory.reference.load import caution_names, kinds, measured_kind
        from inventory.reference.procedure import procedures

        every = procedures()
        return cls(
            kinds={each.name: each.procedures for each in (*kinds(), measured_kind(_CAR))},
            methods={each.name: each.method for each in every},
            cautions=caution_names(),
            forms={(each.name, spec.kind, spec.name): spec.form for each in every for spec in each.readings},
        )


def _modes_on_file() -> dict[str, dict[str, float]]:
    """The ways each kind fails, with their shares."""
    text = files("inventory.reference").joinpath("modes.toml").read_text(encoding="utf-8")
    return {row["name"]: {mode["name"]: mode["share"] for mode in row["mode"]} for row in tomllib.loads(text)["kind"]}
