"""One run at the bench as it is typed: reading after reading, then what is noted beside them. Pure.

A unit typed once is carried on: after "0s=50cmHg", "5 49" is "5s=49cmHg".
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

    `names`: the readings asked for by name, each with its unit; empty where a curve is read, point by point.
    `readings`: typed so far, as they will be kept. `beside`: what is noted beside them, name to typed words.
    `asked`: the name that stands open; `noting`: the condition that stands open.
    """

    procedure: str
    names: tuple[tuple[str, str], ...] = ()
    readings: tuple[str, ...] = ()
    beside: dict[str, tuple[str, ...]] = field(default_factory=dict)
    asked: str = ""
    noting: str = ""
    stage: Stage = "readings"

    @property
    def open_name(self) -> str:
        """The named reading that is asked now; empty for a curve, or behind the last."""
        return self.asked if self.stage == "readings" else ""

    def unit_of(self, name: str) -> str:
        """The unit a named reading is in."""
        return dict(self.names).get(name, "")

    def begun(self, *, blank: bool = False) -> Measuring:
        """The same with its first question open; with `blank`, what the rig does by itself is asked before."""
        first = self.names[0][0] if self.names else ""
        return replace(self, asked=first, stage="readings", noting="blank" if blank else "")

    def typed(self, text: str) -> tuple[str, ...]:
        """What a text on the line would add to the readings, units carried on; empty text adds nothing."""
        if not text.strip():
            return ()
        if self.open_name:
            return (f"{self.open_name}={_with_unit(text, self.unit_of(self.open_name))}",)
        return _chain(text, self.readings)[len(self.readings) :]

    def read(self, text: str) -> Measuring:
        """The open question answered; empty leaves a named reading out, or says that a curve is whole."""
        added = self.typed(text)
        if not self.names:
            return replace(self, readings=(*self.readings, *added), stage="readings" if added else "beside")
        name = self.asked
        kept = tuple(each for each in self.readings if not (added and each.startswith(f"{name}=")))
        order = [each for each, _ in self.names]
        after = order[order.index(name) + 1 :]
        told = replace(self, readings=(*kept, *added))
        return replace(told, asked=after[0]) if after else replace(told, asked="", stage="beside")

    def with_typed(self, text: str) -> Measuring:
        """The same with what stands on the line counted in, wherever it would go."""
        if self.noting == "blank":
            return self.blank_read(text)
        if self.noting:
            return self.note(self.noting, text)
        return self.read(text) if self.stage == "readings" else self

    def blank_read(self, text: str) -> Measuring:
        """A point (or several) of the blank; its question stays open."""
        points = _chain(text, self.beside.get("blank", ()))
        return replace(self, beside={**self.beside, "blank": points} if points else self.beside)

    def opening(self, name: str) -> Measuring:
        """The question after something noted beside the readings, open."""
        return replace(self, noting=name)

    def closed(self) -> Measuring:
        """The question after something beside the readings, closed as it stands."""
        return replace(self, noting="")

    def note(self, name: str, text: str, *, several: bool = False) -> Measuring:
        """Something noted beside the readings; empty text takes it away again."""
        beside = dict(self.beside)
        words = _chain(text) if several else (text.strip(),)
        beside[name] = words
        if not any(words):
            beside.pop(name)
        return replace(self, beside=beside, noting="")

    def back(self) -> Measuring | None:
        """One step back: the condition closed, the last reading open again; None where there is none before."""
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
        """The run as a draft keeps it."""
        return {
            "readings": list(self.readings),
            **{f"beside {name}": list(words) for name, words in self.beside.items()},
        }

    def resumed(self, answers: dict[str, list[str]]) -> Measuring:
        """A run as a draft kept it, its first open question asked again."""
        beside = {name[7:]: tuple(words) for name, words in answers.items() if name.startswith("beside ")}
        told = replace(self, readings=tuple(answers.get("readings", ())), beside=beside, noting="")
        read = {each.partition("=")[0] for each in told.readings}
        left = [name for name, _ in self.names if name not in read]
        return replace(told, asked=left[0] if left else "", stage="readings" if left or not self.names else "beside")

    def conditions(self) -> dict[str, object]:
        """What is noted beside the readings, as an action takes it."""
        return {name: list(words) if len(words) > 1 else words[0] for name, words in self.beside.items()}


def completed(text: str, before: str) -> str:
    """One point of a curve with the units of the point before it, where it has none of its own.

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
    """A value with the unit it is asked in, where only a number was typed."""
    plain = " ".join(text.split())
    return f"{plain}{unit}" if re.fullmatch(_NUMBER, plain) else plain


def _chain(text: str, before: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Points typed on one line behind those before, units carried on."""
    found = list(before)
    for each in text.split(";"):
        if each.strip():
            found.append(completed(each, found[-1] if found else ""))
    return tuple(found)
