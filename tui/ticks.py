"""What is held of a refit before it is written: ticks, the labels scanned for them, and the answers. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime

__all__ = ["ANSWERS", "DIFFERS", "OF_A_JOB", "Tick", "from_answers", "is_whole", "to_answers"]

#: The typed answers to whether a part is on, in place of scanned labels.
ANSWERS = ("on as shown", "differs", "no label", "not now")
OF_A_JOB = ("tick", "not now")
#: What may differ, in the order of asking.
DIFFERS = ("axis", "fasteners", "route", "other")
_SEVERAL = "; "


@dataclass(frozen=True)
class Tick:
    """What is held of one line of the plan: a part by its tag, a job by its id.

    `part`: its label was scanned; `labels`: the car-side labels scanned, as printed. `at`: when it was ticked (UTC),
    "" if it is not. `why`: the reason against advice. `car_side`: "no label" if there is none. `position`: where it
    goes, if none was noted when it came off. The others: as fitted.
    """

    part: str = ""
    labels: str = ""
    at: str = ""
    why: str = ""
    car_side: str = ""
    position: str = ""
    axis: str = ""
    fasteners: str = ""
    route: str = ""
    other: str = ""

    @property
    def scanned(self) -> tuple[str, ...]:
        """The car-side labels scanned."""
        return tuple(filter(None, self.labels.split(_SEVERAL)))

    def with_label(self, printed: str) -> Tick:
        """The tick with one more car-side label."""
        return replace(self, labels=_SEVERAL.join(dict.fromkeys((*self.scanned, printed))))

    @property
    def remark(self) -> str:
        """What differs and has no place of its own in a fitting."""
        said = (self.route and f"route: {self.route}", self.other)
        return _SEVERAL.join(filter(None, said))


def is_whole(tick: Tick, known: Iterable[str]) -> bool:
    """Whether the scans alone make the tick: the part's label, and all car-side labels on record, else any one."""
    known = set(known)
    return bool(tick.part and tick.labels) and known <= set(tick.scanned)


def to_answers(held: Mapping[str, Tick]) -> dict[str, list[str]]:
    """All ticks as the answers of a draft."""
    return {
        f"{key} {field.name}": [value, "+"]
        for key, tick in held.items()
        for field in fields(tick)
        if (value := getattr(tick, field.name))
    }


def from_answers(answers: Mapping[str, list[str]]) -> dict[str, Tick]:
    """The ticks that a draft holds."""
    held: dict[str, Tick] = {}
    names = {field.name for field in fields(Tick)}
    for name, values in answers.items():
        key, _, part = name.rpartition(" ")
        if part in names and (part != "at" or _is_moment(values[0])):
            held[key] = replace(held.get(key, Tick()), **{part: values[0]})
    return held


def _is_moment(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False
