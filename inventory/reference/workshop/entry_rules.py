"""Checks the meaning of entries of a workshop's file: known names, figures that fit the form, shares that add up."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, get_args

from inventory.errors import did_you_mean
from inventory.reasons import WORKSHOP, Standing
from inventory.reference.build_list import AXES
from inventory.reference.data import PROGRAM
from inventory.reference.forms import FORMS, LIMIT_CONDITIONS, UNITS
from inventory.reference.load import caution_names
from inventory.reference.procedure import figures_of_every_limit
from inventory.reference.workshop.entry_shapes import EntryError, Path, rows

__all__ = ["check_meaning"]

_CAR = "car"
_WITHOUT_UNIT = ("word", "ratio")
_OF_RESISTANCE = ("procedure", "kind", "number", "reading", "unit", "law", "low", "high", "standing", "source")
_TIME = re.compile(r"\d+(\.\d+)?\s*(s|min|h)")


@dataclass(frozen=True)
class _KnownNames:
    """The names that entries may refer to: the program's and those of the file.

    `done` holds the procedures of each kind, `base` the form and unit of a reading by procedure, kind and name.
    """

    done: dict[str, set[str]]
    methods: dict[str, str]
    cautions: tuple[str, ...]
    seals: tuple[str, ...]
    base: dict[tuple[str, str, str], tuple[str, str]]
    beside: dict[str, tuple[str, ...]]


def check_meaning(data: Mapping[str, Any]) -> None:
    """Raise `EntryError` for the first entry with an unknown name or an impossible value."""
    known = _known_names(data)
    for where, row in rows(data, "procedure", ()):
        _check_procedure(row, where, known)
    for where, row in rows(data, "kind", ()):
        _check_kind(row, where, known)
    for where, row in rows(data, "limit", ()):
        _check_limit(row, where, known)
    for where, row in rows(data, "seals", ()):
        _check_each((*where, "seals"), "seal", row["seals"], known.seals)
    for where, row in rows(data, "build_list", ()):
        _check_build_list(row, where, known)
    if data.get("modes"):
        on_file = _modes_on_file()
        for where, row in rows(data, "modes", ()):
            _check_shares(row, where, on_file)
    for where, row in rows(data, "test", ()):
        _check_test(row, where)
    for where, row in rows(data, "figure", ()):
        _check_figure(row, where)


def _known_names(data: Mapping[str, Any]) -> _KnownNames:
    done = {each.name: set(each.procedures) for each in (*PROGRAM.kinds, PROGRAM.measured_kind(_CAR))}
    for row in data.get("kind", ()):
        done.setdefault(row["name"], set()).update(row.get("procedures", ()))
    every = PROGRAM.procedures
    own = {row["name"]: row for row in data.get("procedure", ())}
    return _KnownNames(
        done=done,
        methods={**{each.name: each.method for each in every}, **dict.fromkeys(own, "limits")},
        cautions=caution_names(),
        seals=PROGRAM.kind("other").seals,
        base={(each.name, spec.kind, spec.name): (spec.form, spec.unit) for each in every for spec in each.readings},
        beside={
            **{each.name: each.beside or LIMIT_CONDITIONS for each in every},
            **{name: tuple(row.get("beside", LIMIT_CONDITIONS)) for name, row in own.items()},
        },
    )


def _check_procedure(row: Mapping[str, Any], where: Path, known: _KnownNames) -> None:
    if row["name"] in {each.name for each in PROGRAM.procedures} or row["name"] != row["name"].casefold():
        raise EntryError((*where, "name"), "a procedure of your own needs a new name, in small letters")
    _check_each((*where, "cautions"), "caution", row.get("cautions", ()), known.cautions)
    _check_each((*where, "beside"), "thing noted beside", row.get("beside", ()), LIMIT_CONDITIONS)
    for inner, reading in rows(row, "reading", where):
        _check_names(reading, inner, known, known.beside[row["name"]])
        _check_form(reading, inner, reading["form"], reading["name"])


def _check_kind(row: Mapping[str, Any], where: Path, known: _KnownNames) -> None:
    if row["name"] == _CAR:
        raise EntryError((*where, "name"), "a car is not a kind of part; put its limits under [[limit]]")
    _check_each((*where, "procedures"), "procedure", row.get("procedures", ()), known.methods)
    _check_each((*where, "seals"), "seal", row.get("seals", ()), known.seals)
    if row["name"] not in {each.name for each in PROGRAM.kinds} and not row.get("plural"):
        raise EntryError(where, f"how more than one {row['name']} is called (plural) is not given")


def _check_build_list(row: Mapping[str, Any], where: Path, known: _KnownNames) -> None:
    _check_known((*where, "standing"), "standing", row.get("standing", WORKSHOP), get_args(Standing))
    positions = list(rows(row, "position", where))
    for inner, each in positions:
        _check_known((*inner, "kind"), "kind", each["kind"], known.done.keys() - {_CAR})
        _check_each((*inner, "axis"), "axis", [each["axis"]] if "axis" in each else (), AXES)
        others = [other["name"] for _, other in positions if other is not each]
        _check_each((*inner, "behind"), "position of this list", each.get("behind", ()), others)
        if each["name"] in others:
            raise EntryError((*inner, "name"), f'"{each["name"]}" stands in this list twice')


def _check_limit(row: Mapping[str, Any], where: Path, known: _KnownNames) -> None:
    procedure, kind, reading = row["procedure"], row["kind"], row["reading"]
    _check_known((*where, "procedure"), "procedure", procedure, known.methods)
    _check_names(row, where, known, known.beside[procedure])
    method = known.methods[procedure]
    if method not in ("limits", "resistance"):
        raise EntryError((*where, "procedure"), f"a {procedure} is not judged by limits of single readings")
    if procedure not in known.done[kind]:
        says = f"no {procedure} is done on a {kind}: name it under its kind's procedures first"
        raise EntryError((*where, "procedure"), says)
    form, unit = known.base.get((procedure, kind, reading), ("", ""))
    if method == "resistance":
        _check_resistance(row, where)
    else:
        _check_form({"unit": unit, "words": row.get("good", ()), **row}, where, row.get("form", form), reading)
        if form and UNITS[row.get("unit", unit)] != UNITS[unit]:
            raise EntryError(
                (*where, "unit"), f"{reading} is on file in {unit or 'no unit'}, which measures something else"
            )
    _check_figures(row, where, row.get("form", form))


def _check_resistance(row: Mapping[str, Any], where: Path) -> None:
    """Check a limit of a resistance: it is in ohm, at 20 degC."""
    for key in row:
        if key not in _OF_RESISTANCE:
            raise EntryError((*where, key), f"a limit of a resistance does not use {key}")
    if row.get("unit", "ohm") != "ohm":
        raise EntryError((*where, "unit"), "give limits of a resistance in ohm")
    _check_known((*where, "law"), "law", row.get("law", "copper"), ("copper", "insulation", "not carried"))


def _check_names(row: Mapping[str, Any], where: Path, known: _KnownNames, beside: tuple[str, ...]) -> None:
    """Check that all names in a reading or limit are known."""
    _check_known((*where, "kind"), "kind", row["kind"], known.done)
    for key, names in (("unit", UNITS), ("form", FORMS), ("standing", get_args(Standing))):
        if key in row:
            _check_known((*where, key), key, row[key], names)
    _check_each((*where, "cautions"), "caution", row.get("cautions", ()), known.cautions)
    _check_each((*where, "needs"), "thing noted beside", row.get("needs", ()), beside)
    _check_order(row, where)
    for inner, at in rows(row, "at", where):
        _check_known((*inner, "condition"), "thing noted beside", at["condition"], beside)
        _check_known((*inner, "unit"), "unit", at["unit"], UNITS)
        _check_order(at, inner)


def _check_order(row: Mapping[str, Any], where: Path) -> None:
    if "low" in row and "high" in row and row["low"] > row["high"]:
        raise EntryError((*where, "low"), f"low is {row['low']:g}, above high, {row['high']:g}")


def _check_form(row: Mapping[str, Any], where: Path, form: str, name: str) -> None:
    """Check that a reading has what its form needs."""
    if not form:
        raise EntryError(
            where, f"{name} is not on file, so give the form of its limit: form, one of {', '.join(FORMS)}"
        )
    if form not in _WITHOUT_UNIT and not row.get("unit"):
        raise EntryError(where, "unit is not given")
    if form == "ratio" and "low" in row and "name" in row and not (row.get("of") and row.get("to")):
        raise EntryError(where, "a ratio is of one reading to another: name them with of and to")
    if form == "word" and "name" in row and not set(row.get("good", ())) <= set(row.get("words", ())):
        raise EntryError((*where, "good"), "each good word must be among the words")
    if form == "left after" and not _TIME.fullmatch(name):
        raise EntryError((*where, "name"), 'a "left after" reading is named by its time, like "10min"')


def _check_figures(row: Mapping[str, Any], where: Path, form: str) -> None:
    """Check that a limit gives a figure, and only figures of its form."""
    takes = FORMS.get(form, ("low", "high"))
    for key in ("low", "high", "good"):
        if key in row and key not in takes:
            raise EntryError((*where, key), f'the form "{form}" takes {" and ".join(takes)}, not {key}')
    if not any(key in row for key in takes):
        raise EntryError(where, f"no figure is given: {' or '.join(takes)}")


def _check_figure(row: Mapping[str, Any], where: Path) -> None:
    """Check that a figure is on file, and one that a workshop may judge otherwise."""
    name, on_file = row["name"], figures_of_every_limit()
    of_evidence = PROGRAM.failures.figures
    if not row.get("procedure") and name in of_evidence:
        share = of_evidence[name].value < 1.0
        if not (0.0 < row["value"] < 1.0 if share else row["value"] >= 1.0):
            raise EntryError((*where, "value"), f"{name} must be {'between 0 and 1' if share else 'at least 1'}")
        return
    if procedure := row.get("procedure"):
        every = {each.name: each for each in PROGRAM.procedures}
        _check_known((*where, "procedure"), "procedure", procedure, every)
        on_file = {key: {"standing": each.standing} for key, each in every[procedure].figures.items()}
        on_file = {key: each for key, each in on_file.items() if key not in figures_of_every_limit()}
    known = on_file if procedure else (*on_file, *of_evidence)
    _check_known((*where, "name"), f"figure of {procedure or 'every limit or of evidence'}", name, known)
    if on_file[name]["standing"] != WORKSHOP:
        says = f"{name} is {on_file[name]['standing']}; only what is workshop judgement can be judged otherwise"
        raise EntryError((*where, "name"), says)
    least = 1.0 if not procedure else 0.0
    if row["value"] < least or not row["value"]:
        raise EntryError((*where, "value"), f"{name} must be {'at least 1' if least else 'more than 0'}")


def _check_shares(row: Mapping[str, Any], where: Path, modes: Mapping[str, dict[str, float]]) -> None:
    _check_known((*where, "kind"), "kind with ways of failing", row["kind"], modes)
    good, shares = row.get("good"), row.get("share", {})
    if good is not None and not 0.0 < good < 1.0:
        raise EntryError((*where, "good"), "good is a share, between 0 and 1")
    for name, share in shares.items():
        _check_known((*where, "share", name), f"way that a {row['kind']} fails,", name, modes[row["kind"]])
        if not isinstance(share, (int, float)) or not 0.0 <= share <= 1.0:
            raise EntryError((*where, "share", name), f"{name}: a share lies between 0 and 1")
    whole = sum((modes[row["kind"]] | shares).values())
    if shares and abs(whole - 1.0) > 0.001:
        raise EntryError((*where, "share"), f"the shares add up to {whole:.3g}, not to 1")


def _check_test(row: Mapping[str, Any], where: Path) -> None:
    _check_known((*where, "name"), "test", row["name"], PROGRAM.failures.tests)
    if not 0.0 < row.get("false_alarm", 0.5) < 1.0:
        raise EntryError((*where, "false_alarm"), "false_alarm is a chance, between 0 and 1")
    if "minutes" in row and not PROGRAM.failures.tests[row["name"]].minutes:
        raise EntryError((*where, "minutes"), f"{row['name']} is not made at the bench, so it has no minutes")
    if row.get("minutes", 1.0) <= 0.0:
        raise EntryError((*where, "minutes"), "minutes must be more than 0")


def _check_each(where: Path, what: str, names: Iterable[str], known: Iterable[str]) -> None:
    for name in names:
        _check_known(where, what, name, known)


def _check_known(where: Path, what: str, name: str, known: Iterable[str]) -> None:
    every = list(known)
    if name not in every:
        near = get_close_matches(name, every, n=3, cutoff=0.5)
        hint = did_you_mean(near) or f"one of: {', '.join(every)}"
        raise EntryError(where, f'unknown {what} "{name}" ({hint})')


def _modes_on_file() -> dict[str, dict[str, float]]:
    """The failure modes of each kind, with their shares."""
    return {
        name: {mode.name: mode.share for mode in kind_modes.modes}
        for name, kind_modes in PROGRAM.failures.kinds.items()
    }
