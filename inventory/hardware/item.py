"""One thing from a box of screws: what was understood of how it was written. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

__all__ = ["RUBBER", "Item", "number"]

#: Families that are of rubber, and age.
RUBBER = frozenset({"grommet", "hose", "fuel hose", "vacuum hose", "o-ring"})
_COUNT = re.compile(r"^(?:\d{1,3} ?(?:[x×*] ?|off |pcs\.? )?|(?:one|two|three|four) )", re.IGNORECASE)


def number(value: float) -> str:
    """A size as people write it: 6, 0.8, 7.5."""
    return f"{value:g}"


@dataclass(frozen=True)
class Item:
    """A fastener, grommet or hose. An empty `family` says that the text was not understood; it is kept in `written`.

    `thread`: "M6", "M8x1", "No. 10-32 UNF", "ST5.5". `length`: as written, "20" in mm or "1/2 in"; `length_mm` in mm.
    `klass`: property class, 8.8 or A2. `sizes`, mm: of a grommet inner, outer, thickness; of a hose its bore and outer
    diameter. `groove`, mm: its diameter and width; `sleeve`: length, mm. `state`: new, lost, broken. `cured`: EDTF.
    `rest`: words that were not understood. `flags`: what is doubtful, as sentences.
    """

    written: str
    count: int | None = None
    family: str = ""
    thread: str = ""
    length: str = ""
    length_mm: float | None = None
    head: str = ""
    drive: str = ""
    finish: str = ""
    klass: str = ""
    sizes: tuple[float, ...] = ()
    groove: tuple[float, ...] = ()
    sleeve: float | None = None
    material: str = ""
    cured: str = ""
    state: str = ""
    rest: str = ""
    flags: tuple[str, ...] = ()

    @property
    def understood(self) -> bool:
        """Whether it can be compared with others."""
        return bool(self.family and (self.thread or self.sizes))

    @property
    def alone(self) -> Item:
        """The thing itself, whatever its count and state; the count goes out of words that were not understood too."""
        return replace(self, count=None, state="", written=self.written if self.understood else self.spec)

    @property
    def is_stainless(self) -> bool:
        """Whether it is of stainless steel."""
        return self.klass.startswith("A") or self.finish == "stainless"

    @property
    def spec(self) -> str:
        """It in one way of writing, without its count and state; as written if it was not understood."""
        if not self.understood:
            return _COUNT.sub("", self.written) if self.count else self.written
        cross = "-" if self.family.endswith("clip") else " x "
        sized = cross.join(map(number, self.sizes)) + (" mm" if len(self.sizes) == 1 else "")
        groove = f"groove {' x '.join(map(number, self.groove))}" if self.groove else ""
        sleeve = f"sleeve {number(self.sleeve)}" if self.sleeve is not None else ""
        size = self.thread and self.thread + (f"{self._cross}{self.length}" if self.length else "")
        named = "" if self.family == "screw" else self.family
        words = (named, size or sized, self.head, self.drive, self.klass, self.finish)
        return " ".join(word for word in (*words, groove, sleeve, self.material, self.rest) if word)

    @property
    def _cross(self) -> str:
        return "x" if self.thread.startswith(("M", "ST")) else " x "

    @property
    def key(self) -> str:
        """What makes two items the same thing."""
        return self.spec.casefold()
