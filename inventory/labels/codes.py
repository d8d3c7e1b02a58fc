"""What stands in the code of a label, and how it is told from any other text. Pure.

A part's label has its tag without the dash: K41277. The label for what stays on the car (plug, hose, bracket) has the
tag, C1 to C4, and a check character over the whole, again MOD 37-2: K41277C1H. It is printed "K4127-7 C1". Since a
tag is a right code word itself, the last character is the same for every tag (H, F, D, B); the tag's own check guards
the tag. B is no character of tags, because people take it for 8; nobody has to read or type this one.

A place's label has a code of its own form (`places.place_codes`), which `read_code` never takes for one of these.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from inventory.parts.tags import check_character, is_tag, parse

__all__ = ["CAR_SIDES", "CarSideCode", "PartCode", "PlaceCode", "car_sides_in", "read_code"]

#: How many labels for the car side a tag can have.
CAR_SIDES = 4
_LONGEST = 40
_NAMED = re.compile(r"\b[0-9A-Z]{5}-?[0-9A-Z] ?C[1-4][0-9A-Z]?\b")
_CAR_SIDE = re.compile(r"([0-9A-Z]{6})C([1-4])([0-9A-Z]?)")


@dataclass(frozen=True)
class PartCode:
    """The label of a part. `tag` as it is stored, with the dash."""

    tag: str

    @property
    def printed(self) -> str:
        """As it is printed on the label."""
        return self.tag

    @property
    def coded(self) -> str:
        """As it stands in the code."""
        return self.tag.replace("-", "")


@dataclass(frozen=True)
class CarSideCode:
    """The label of something that stays on the car: the tag of the part that came off it, and its number, 1 to 4."""

    tag: str
    number: int

    @property
    def printed(self) -> str:
        """As it is printed on the label."""
        return f"{self.tag} C{self.number}"

    @property
    def coded(self) -> str:
        """As it stands in the code."""
        body = f"{self.tag.replace('-', '')}C{self.number}"
        return body + check_character(body)


@dataclass(frozen=True)
class PlaceCode:
    """The label of a place. `label` as it is stored, with the dash."""

    label: str

    @property
    def printed(self) -> str:
        """As it is printed on the label."""
        return self.label

    @property
    def coded(self) -> str:
        """As it stands in the code."""
        return self.label.replace("-", "")


def car_sides_in(text: str) -> list[tuple[CarSideCode, str]]:
    """The car-side labels named in words about what stays on the car, each with what it is on.

    Written as "K4127-7 C1 plug; K4127-7 C2 on the hose"; other words are left out.
    """
    found = []
    for part in re.split("[;,]", text):
        named = _NAMED.search(part.upper())
        code = read_code(named[0]) if named else None
        if named and isinstance(code, CarSideCode):
            words = f"{part[: named.start()]} {part[named.end() :]}".strip(" :")
            found.append((code, re.sub(r"^on (the )?", "", words)))
    return found


def read_code(text: str) -> PartCode | CarSideCode | None:
    """The label that a scanned or typed text is from; None for a web address or any other text.

    A car-side label may be typed as it is printed, without the last character; scanned, its check must be right.
    """
    if len(text) > _LONGEST:
        return None
    bare = text.strip().upper().replace("-", "").replace(" ", "")
    if is_tag(bare):
        return PartCode(parse(bare))
    found = _CAR_SIDE.fullmatch(bare)
    if found is None or not is_tag(found[1]):
        return None
    code = CarSideCode(parse(found[1]), int(found[2]))
    return code if found[3] in ("", code.coded[-1]) else None
