"""One bench run as it is typed: the readings, then the conditions. Pure.

A unit is typed once and then repeated: after "0s=50cmHg", "5 49" means "5s=49cmHg", after a blank too.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import Literal

__all__ = ["Measuring", "Stage", "completed"]

Stage = Literal["readings", "beside"]

_NUMBER = r"[<>]?[+-]?\d[\d.,]*"
_SPLIT = re.compile(rf"(?P<name>{_NUMBER})(?P<name_unit>[^\d\s=]\S*?)?\s*(?:=|\s)\s*(?P<value>{_NUMBER})(?P<unit>.*)")


@dataclass(frozen=True)
class Measuring:
    """A run being typed.

    `names`: the named readings, each with its unit; empty for a curve, which is read point by point.
    `readings`: those typed so far, as they will be recorded. `beside`: the conditions, name to typed words.
    `asked`: the reading that is asked for; `noting`: the condition that is asked for. `bare`: the named readings that
    were typed without a unit.
    """

    procedure: str
    names: tuple[tuple[str, str], ...] = ()
    readings: tuple[str, ...] = ()
    beside: dict[str, tuple[str, ...]] = field(default_factory=dict)
    asked: str = ""
    noting: str = ""
    stage: Stage = "readings"
    bare: frozenset[str] = frozenset()

    @property
    def open_name(self) -> str:
        """The named reading that is asked for; "" for a curve, or after the last reading."""
        return self.asked if self.stage == "readings" else ""

    def unit_of(self, name: str) -> str:
        """The unit of a named reading."""
        return dict(self.names).get(name, "")

    def begun(self, *, blank: bool = False) -> Measuring:
        """Ask the first question; with `blank`, the blank run of the rig is asked for first."""
        first = self.names[0][0] if self.names else ""
        return replace(self, asked=first, stage="readings", noting="blank" if blank else "")

    def typed(self, text: str) -> tuple[str, ...]:
        """The readings that a text on the line would add, with their units; repeats are separated by semicolons."""
        if not text.strip():
            return ()
        if self.open_name:
            name, unit = self.open_name, self.unit_of(self.open_name)
            return tuple(f"{name}={_with_unit(each, unit)}" for each in text.split(";") if each.strip())
        before = self.readings or self.beside.get("blank", ())
        return _chain(text, before)[len(before) :]

    def read(self, text: str) -> Measuring:
        """Answer the open question; empty text skips a named reading, or ends a curve."""
        added = self.typed(text)
        if not self.names:
            return replace(self, readings=(*self.readings, *added), stage="readings" if added else "beside")
        name = self.asked
        kept = tuple(each for each in self.readings if not (added and each.startswith(f"{name}=")))
        order = [each for each, _ in self.names]
        after = order[order.index(name) + 1 :]
        bare = self.bare if not added else self.bare | {name} if _is_bare(text) else self.bare - {name}
        changed = replace(self, readings=(*kept, *added), bare=bare)
        return replace(changed, asked=after[0]) if after else replace(changed, asked="", stage="beside")

    def with_typed(self, text: str) -> Measuring:
        """Add the text on the line to the open question."""
        if self.noting == "blank":
            return self.blank_read(text)
        if self.noting:
            return self.note(self.noting, text)
        return self.read(text) if self.stage == "readings" else self

    def blank_read(self, text: str) -> Measuring:
        """Add points of the blank; the question stays open."""
        points = _chain(text, self.beside.get("blank", ()))
        return replace(self, beside={**self.beside, "blank": points} if points else self.beside)

    def opening(self, name: str) -> Measuring:
        """Ask for a condition."""
        return replace(self, noting=name)

    def closed(self) -> Measuring:
        """Close the question for a condition, unchanged."""
        return replace(self, noting="")

    def note(self, name: str, text: str, *, several: bool = False) -> Measuring:
        """Note a condition; empty text removes it."""
        beside = dict(self.beside)
        words = _chain(text) if several else (text.strip(),)
        beside[name] = words
        if not any(words):
            beside.pop(name)
        return replace(self, beside=beside, noting="")

    def as_typed(self) -> tuple[str, ...]:
        """The readings without the units that were not typed."""
        split = (each.partition("=") for each in self.readings)
        return tuple(
            f"{name}={value.removesuffix(self.unit_of(name))}" if name in self.bare else f"{name}{sign}{value}"
            for name, sign, value in split
        )

    def meant(self, place: int, reading: str) -> Measuring:
        """The reading at a place is meant with its unit."""
        readings = (*self.readings[:place], reading, *self.readings[place + 1 :])
        return replace(self, readings=readings, bare=self.bare - {reading.partition("=")[0]})

    def back(self) -> Measuring | None:
        """One step back: close the condition, or ask again for the last reading. None if nothing is before."""
        if self.noting:
            return None if self.noting == "blank" and not self.readings and not self.beside else self.closed()
        if self.names:
            order = [each for each, _ in self.names]
            place = order.index(self.asked) if self.stage == "readings" else len(order)
            return replace(self, asked=order[place - 1], stage="readings") if place else None
        if self.stage == "beside":
            return replace(self, stage="readings")
        return replace(self, readings=self.readings[:-1]) if self.readings else None

    def as_answers(self) -> dict[str, list[str]]:
        """The run in the form of a draft."""
        answers = {
            "readings": list(self.readings),
            "bare": sorted(self.bare),
            **{f"beside {name}": list(words) for name, words in self.beside.items()},
        }
        return {name: given for name, given in answers.items() if given}

    def resumed(self, answers: dict[str, list[str]]) -> Measuring:
        """The run of a draft, with its first open question."""
        beside = {name[7:]: tuple(words) for name, words in answers.items() if name.startswith("beside ")}
        changed = replace(self, readings=tuple(answers.get("readings", ())), beside=beside, noting="")
        changed = replace(changed, bare=frozenset(answers.get("bare", ())))
        read = {each.partition("=")[0] for each in changed.readings}
        left = [name for name, _ in self.names if name not in read]
        return replace(changed, asked=left[0] if left else "", stage="readings" if left or not self.names else "beside")

    def conditions(self) -> dict[str, object]:
        """The conditions, in the form that `bench.actions.run` takes."""
        return {name: list(words) if len(words) > 1 else words[0] for name, words in self.beside.items()}


def completed(text: str, before: str) -> str:
    """One point of a curve; missing units are taken from the point before.

    >>> completed("5 49", "0s=50cmHg")
    '5s=49cmHg'
    """
    plain = " ".join(text.split())
    if not (found := _SPLIT.fullmatch(plain)):
        return plain
    name_unit, unit = found["name_unit"] or "", found["unit"].strip()
    if earlier := _SPLIT.fullmatch(before):
        name_unit, unit = name_unit or earlier["name_unit"] or "", unit or earlier["unit"].strip()
    return f"{found['name']}{name_unit}={found['value']}{unit}"


def _with_unit(text: str, unit: str) -> str:
    """A value; if only a number was typed, with the unit it is asked in."""
    plain = " ".join(text.split())
    return f"{plain}{unit}" if _is_bare(plain) else plain


def _is_bare(text: str) -> bool:
    return re.fullmatch(_NUMBER, text.strip()) is not None


def _chain(text: str, before: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The points before, and those typed on a line; missing units are taken from the point before."""
    found = list(before)
    for each in text.split(";"):
        if each.strip():
            found.append(completed(each, found[-1] if found else ""))
    return tuple(found)
