"""The numbers of parts off a car. Each hand has a run of numbers of its own in a strip-down. Pure.

While one hand alone works, a number is shown as it is: 13. Where there are two, the first letter of the hand stands
before it, and as many more as tell the hands apart: I13, J1; Jo2, Ju2.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

__all__ = ["Numbers", "letters_of"]


@dataclass(frozen=True)
class Numbers:
    """The numbers of one strip-down: the highest of each hand, by key, and the names of the hands."""

    highest: Mapping[int, int] = field(default_factory=dict)
    names: Mapping[int, str] = field(default_factory=dict)

    def next_of(self, hand: int | None) -> int:
        """The next number of a hand. That of a part taken back is not given again: it may be written on a bag."""
        return self.highest.get(hand or 0, 0) + 1

    def shown(self, number: int, hand: int | None, name: str = "") -> str:
        """A number as it is shown and written on a bag. `name`: that of a hand who has not logged anything yet."""
        names = {each for each in (*self.names.values(), name) if each}
        letters = letters_of(names) if len(names) > 1 else {}
        return f"{letters.get(self.names.get(hand or 0, name), '')}{number}"


def letters_of(names: Iterable[str]) -> dict[str, str]:
    """The first letters of each name that tell it from the others: as few as possible, for each the same count."""
    every = sorted(set(names))
    plain = {name: "".join(sign for sign in name if sign.isalnum()) or name for name in every}
    for count in range(1, max(map(len, plain.values()), default=1) + 1):
        if len({plain[name][:count].casefold() for name in every}) == len(every):
            return {name: plain[name][:1].upper() + plain[name][1:count] for name in every}
    return {name: f"{name} " for name in every}
