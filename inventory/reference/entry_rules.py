"""What entries of a workshop's file may say: names that are known, figures that go with their form, whole shares."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, get_args

from inventory.errors import did_you_mean
from inventory.reasons import Standing
from inventory.reference.data import PROGRAM
from inventory.reference.entry_shapes import Path, Wrong, rows
from inventory.reference.forms import BESIDE, FORMS, UNITS
from inventory.reference.load import caution_names

__all__ = ["check_meaning"]

_CAR = "car"
_WITHOUT_UNIT = ("word", "ratio")
_OF_RESISTANCE = ("procedure", "kind", "number", "reading", "unit", "law", "low", "high", "standing", "source")
_TIME = re.compile(r"\d+(\.\d+)?\s*(s|min|h)")


@dataclass(frozen=True)
class _Known:
    """Names that entries may refer to: the program's own with those of the file.

    `done` is which procedures each kind has, `base` the form and unit on file of a reading, by procedure, kind, name.
    """

    done: dict[str, set[str]]
    methods: dict[str, str]
    cautions: tuple[str, ...]
    seals: tuple[str, ...]
    base: dict[tuple[str, str, str], tuple[str, str]]
    beside: dict[str, tuple[str, ...]]


def check_meaning(data: Mapping[str, Any]) -> None:
    """Raise `Wrong` for the first entry that names what is not there, or says what cannot be so."""
    known = _known(data)
    for where, row in rows(data, "procedure", ()):
        _procedure(row, where, known)
    for where, row in rows(data, "kind", ()):
        _kind(row, where, known)
    for where, row in rows(data, "limit", ()):
        _limit(row, where, known)
    for where, row in rows(data, "seals", ()):
        _each((*where, "seals"), "seal", row["seals"], known.seals)
    if data.get("modes"):
        on_file = _modes_on_file()
        for where, row in rows(data, "modes", ()):
            _shares(row, where, on_file)


def _known(data: Mapping[str, Any]) -> _Known:
    done = {each.name: set(each.procedures) for each in (*PROGRAM.kinds, PROGRAM.measured_kind(_CAR))}
    for row in data.get("kind", ()):
        done.setdefault(row["name"], set()).update(row.get("procedures", ()))
    every = PROGRAM.procedures
    own = {row["name"]: row for row in data.get("procedure", ())}
    return _Known(
        done=done,
        methods={**{each.name: each.method for each in every}, **dict.fromkeys(own, "limits")},
        cautions=caution_names(),
        seals=PROGRAM.kind("other").seals,
        base={(each.name, spec.kind, spec.name): (spec.form, spec.unit) for each in every for spec in each.readings},
        beside={
            **{each.name: each.beside or BESIDE for each in every},
            **{name: tuple(row.get("beside", BESIDE)) for name, row in own.items()},
        },
    )


def _procedure(row: Mapping[str, Any], where: Path, known: _Known) -> None:
    if row["name"] in {each.name for each in PROGRAM.procedures} or row["name"] != row["name"].casefold():
        raise Wrong((*where, "name"), "a procedure of your own wants a name of its own, in small letters")
    _each((*where, "cautions"), "caution", row.get("cautions", ()), known.cautions)
    _each((*where, "beside"), "thing noted beside", row.get("beside", ()), BESIDE)
    for inner, reading in rows(row, "reading", where):
        _names(reading, inner, known, known.beside[row["name"]])
        _whole(reading, inner, reading["form"], reading["name"])


def _kind(row: Mapping[str, Any], where: Path, known: _Known) -> None:
    if row["name"] == _CAR:
        raise Wrong((*where, "name"), "a car is not a kind of part; put its limits under [[limit]]")
    _each((*where, "procedures"), "procedure", row.get("procedures", ()), known.methods)
    _each((*where, "seals"), "seal", row.get("seals", ()), known.seals)
    if row["name"] not in {each.name for each in PROGRAM.kinds} and not row.get("plural"):
        raise Wrong(where, f"how more than one {row['name']} is called (plural) is not given")


def _limit(row: Mapping[str, Any], where: Path, known: _Known) -> None:
    procedure, kind, reading = row["procedure"], row["kind"], row["reading"]
    _one_of((*where, "procedure"), "procedure", procedure, known.methods)
    _names(row, where, known, known.beside[procedure])
    method = known.methods[procedure]
    if method not in ("limits", "resistance"):
        raise Wrong((*where, "procedure"), f"a {procedure} is not judged by limits of single readings")
    if procedure not in known.done[kind]:
        says = f"no {procedure} is done on a {kind}: name it under its kind's procedures first"
        raise Wrong((*where, "procedure"), says)
    form, unit = known.base.get((procedure, kind, reading), ("", ""))
    if method == "resistance":
        _resistance(row, where)
    else:
        _whole({"unit": unit, "words": row.get("good", ()), **row}, where, row.get("form", form), reading)
        if form and UNITS[row.get("unit", unit)] != UNITS[unit]:
            raise Wrong((*where, "unit"), f"{reading} is on file in {unit or 'no unit'}, which measures something else")
    _figures(row, where, row.get("form", form))


def _resistance(row: Mapping[str, Any], where: Path) -> None:
    """Resistances are judged at 20 degC by ohms alone."""
    for key in row:
        if key not in _OF_RESISTANCE:
            raise Wrong((*where, key), f"a limit of a resistance does not use {key}")
    if row.get("unit", "ohm") != "ohm":
        raise Wrong((*where, "unit"), "give limits of a resistance in ohm")
    _one_of((*where, "law"), "law", row.get("law", "copper"), ("copper", "insulation", "not carried"))


def _names(row: Mapping[str, Any], where: Path, known: _Known, beside: tuple[str, ...]) -> None:
    """Whether all that a reading or limit names is there."""
    _one_of((*where, "kind"), "kind", row["kind"], known.done)
    for key, names in (("unit", UNITS), ("form", FORMS), ("standing", get_args(Standing))):
        if key in row:
            _one_of((*where, key), key, row[key], names)
    _each((*where, "cautions"), "caution", row.get("cautions", ()), known.cautions)
    _each((*where, "needs"), "thing noted beside", row.get("needs", ()), beside)
    _ordered(row, where)
    for inner, at in rows(row, "at", where):
        _one_of((*inner, "condition"), "thing noted beside", at["condition"], beside)
        _one_of((*inner, "unit"), "unit", at["unit"], UNITS)
        _ordered(at, inner)


def _ordered(row: Mapping[str, Any], where: Path) -> None:
    if "low" in row and "high" in row and row["low"] > row["high"]:
        raise Wrong((*where, "low"), f"low is {row['low']:g}, above high, {row['high']:g}")


def _whole(row: Mapping[str, Any], where: Path, form: str, name: str) -> None:
    """Whether a reading has what its form needs."""
    if not form:
        raise Wrong(where, f"{name} is not on file, so say how its limit is meant: form, one of {', '.join(FORMS)}")
    if form not in _WITHOUT_UNIT and not row.get("unit"):
        raise Wrong(where, "unit is not given")
    if form == "ratio" and "low" in row and "name" in row and not (row.get("of") and row.get("to")):
        raise Wrong(where, "a ratio is of one reading to another: name them, as of and to")
    if form == "word" and "name" in row and not set(row.get("good", ())) <= set(row.get("words", ())):
        raise Wrong((*where, "good"), "what is good must be among the words")
    if form == "left after" and not _TIME.fullmatch(name):
        raise Wrong((*where, "name"), 'what is left after a time is named by that time, like "10min"')


def _figures(row: Mapping[str, Any], where: Path, form: str) -> None:
    """A limit gives a figure, and none that its form has no use for."""
    takes = FORMS.get(form, ("low", "high"))
    for key in ("low", "high", "good"):
        if key in row and key not in takes:
            raise Wrong((*where, key), f'the form "{form}" takes {" and ".join(takes)}, not {key}')
    if not any(key in row for key in takes):
        raise Wrong(where, f"no figure is given: {' or '.join(takes)}")


def _shares(row: Mapping[str, Any], where: Path, modes: Mapping[str, dict[str, float]]) -> None:
    _one_of((*where, "kind"), "kind with ways of failing", row["kind"], modes)
    good, shares = row.get("good"), row.get("share", {})
    if good is not None and not 0.0 < good < 1.0:
        raise Wrong((*where, "good"), "good is a share, between 0 and 1")
    for name, share in shares.items():
        _one_of((*where, "share", name), f"way that a {row['kind']} fails,", name, modes[row["kind"]])
        if not isinstance(share, (int, float)) or not 0.0 <= share <= 1.0:
            raise Wrong((*where, "share", name), f"{name}: a share lies between 0 and 1")
    whole = sum((modes[row["kind"]] | shares).values())
    if shares and abs(whole - 1.0) > 0.001:
        raise Wrong((*where, "share"), f"the shares come to {whole:.3g} and should come to 1")


def _each(where: Path, what: str, names: Iterable[str], known: Iterable[str]) -> None:
    for name in names:
        _one_of(where, what, name, known)


def _one_of(where: Path, what: str, name: str, known: Iterable[str]) -> None:
    every = list(known)
    if name not in every:
        near = get_close_matches(name, every, n=3, cutoff=0.5)
        hint = did_you_mean(near) or f"one of: {', '.join(every)}"
        raise Wrong(where, f'unknown {what} "{name}" ({hint})')


def _modes_on_file() -> dict[str, dict[str, float]]:
    """The ways each kind fails, with their shares."""
    return {name: {mode.name: mode.share for mode in fails.modes} for name, fails in PROGRAM.failures.kinds.items()}
