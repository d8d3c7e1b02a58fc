"""What is printed on one label. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.labels.codes import CarSideCode, PartCode, PlaceCode

__all__ = ["ADVICE", "WHERE_TO_STICK", "Label", "car_side_label", "part_label", "place_label", "roll_labels"]

#: Where a label goes, in full. Workshop judgement, no source.
WHERE_TO_STICK = (
    "Stick it on a clean, cold, dry face; where it is hot or oily, tie it on. "
    "Never over a maker's label, a letter or a seal."
)
#: The same, as short as a label needs it.
ADVICE = "hot, oily: tie on"


@dataclass(frozen=True)
class Label:
    """One label: its code; `big`, read from a step away; the lines under it; and small print.

    `name`: what is printed large in place of the code.
    """

    code: PartCode | CarSideCode | PlaceCode
    lines: tuple[str, ...] = ()
    small: str = ""
    name: str = ""

    @property
    def big(self) -> str:
        """What is printed large."""
        return self.name or self.code.printed


def part_label(tag: str, *, kind: str = "", position: str = "", car: str = "", day: str = "", bag: str = "") -> Label:
    """The label of a part on record: where it sat, in which bag its screws are, what it is, and when it came off."""
    lines = tuple(each for each in (position, f"bag {bag}" if bag else "", kind, car) if each)
    return Label(PartCode(tag), lines, "; ".join(each for each in (day, ADVICE) if each))


def car_side_label(tag: str, on: str, number: int, small: str = "") -> Label:
    """The label of what stays on the car; `on`: what it is on, "" if that is not known."""
    return Label(CarSideCode(tag, number), ("STAYS ON CAR", on), small)


def place_label(label: str, name: str, within: str = "") -> Label:
    """The label of a place: its name is read from a step away, its code by a scanner or typed."""
    return Label(PlaceCode(label), (*([f"in {within}"] if within else []), label), "", name)


def roll_labels(number: int, tags: tuple[str, ...], car_sides: int) -> list[Label]:
    """The labels of an unused roll: set after set, first the one for the part or its bag."""
    made = []
    for place, tag in enumerate(tags, 1):
        small = f"roll {number}, {place}/{len(tags)}; {ADVICE}"
        made.append(Label(PartCode(tag), ("part, or its bag",), small))
        made += [car_side_label(tag, "", side, small) for side in range(1, car_sides + 1)]
    return made
