"""What somebody should look at again in a file: serials and names that may be misspelt ones."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

__all__ = ["Duplicate", "NearInFile"]


@dataclass(frozen=True, slots=True)
class Duplicate:
    """A row whose serial looks like that of a part on record (`tag`) or of another row (`other`: sheet and number)."""

    sheet: str
    row: int
    serial: str
    other_serial: str
    tag: str | None
    other: tuple[str, int] | None

    @property
    def says(self) -> str:
        """The sentence for people, without the full stop."""
        whose = f"{self.tag}'s" if self.tag else "that of {}, row {}:".format(*(self.other or ("", 0)))
        return (
            f'{self.sheet}, row {self.row}: serial "{self.serial}" looks like {whose} "{self.other_serial}"; '
            "look at the part again, it may be the same one"
        )

    def as_dict(self) -> dict[str, Any]:
        """The object in `likely_duplicates`."""
        other = {"sheet": self.other[0], "row": self.other[1]} if self.other else None
        return {
            "sheet": self.sheet,
            "row": self.row,
            "serial": self.serial,
            "looks_like": self.other_serial,
            "tag": self.tag,
            "other": other,
        }


@dataclass(frozen=True, slots=True)
class NearInFile:
    """A new name that looks like misspelt ones (`near`); `what` is its sort, `rows` have it: sheet and number."""

    what: str
    name: str
    near: list[str]
    rows: list[tuple[str, int]] = field(default_factory=list)

    @property
    def says(self) -> str:
        """The question for people."""
        sheet, first = self.rows[0]
        more = f" and {len(self.rows) - 1} more" if self.rows[1:] else ""
        near = " or ".join(f'"{each}"' for each in self.near)
        return f'{sheet}, row {first}{more}: the {self.what} "{self.name}" is new; is {near} meant?'

    def as_dict(self) -> dict[str, Any]:
        """The object in `near_names`."""
        rows = [{"sheet": sheet, "row": number} for sheet, number in self.rows]
        return {"what": self.what, "name": self.name, "near": self.near, "rows": rows}
