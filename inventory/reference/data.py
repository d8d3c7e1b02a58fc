"""The reference data in force for one open record, as one value: kinds, procedures, ways of failing.

It is made when a record is opened, from the program's own files and the workshop's, and never changes. Two records with
different limits can be open in one process.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from inventory.errors import UnknownName
from inventory.reference.load import Kind, car_kind, kinds_from, near_kinds
from inventory.reference.modes import FailureData, KindModes, failure_data_with
from inventory.reference.procedure import PinList, Procedure, procedures_with
from inventory.store.text import fold, squeeze

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["PROGRAM", "Reference", "reference_of"]


@dataclass(frozen=True, eq=False)
class Reference:
    """The program's reference data with a workshop's over them. `file`: the workshop's, empty where it has none.

    `own`: the checked contents of that file.
    """

    file: str = ""
    own: Mapping[str, Any] = field(default_factory=dict)

    @cached_property
    def kinds(self) -> tuple[Kind, ...]:
        """Every kind, in the order they are offered; a workshop's own stand before "other"."""
        return kinds_from(self.own)

    def kind(self, name: str) -> Kind:
        """The kind of that name, in either case; an unknown one is refused with the nearest ones."""
        wanted = fold(name)
        for each in self.kinds:
            if fold(each.name) == wanted:
                return each
        raise UnknownName("kind", name, near_kinds(name, self.kinds), where="kind")

    def measured_kind(self, name: str) -> Kind:
        """The kind of that name as the bench knows them: a whole car is one there, though no part is of it."""
        car = car_kind()
        return car if fold(name) == fold(car.name) else self.kind(name)

    def factory_seals(self, kind_name: str, part_number: str = "") -> tuple[str, ...]:
        """The seals that parts of a number left the factory with; those of the kind where the number is not on file."""
        wanted = squeeze(part_number)
        for row in self.own.get("seals", ()) if wanted else ():
            if squeeze(row["number"]) == wanted:
                return tuple(row["seals"])
        return self.kind(kind_name).seals

    @cached_property
    def procedures(self) -> tuple[Procedure, ...]:
        """Every procedure that the bench can do, the workshop's own behind the others."""
        return procedures_with(self.own)

    def procedure(self, name: str) -> Procedure:
        """The procedure of that name; an unknown one is refused with the nearest, or with all there are."""
        wanted = name.strip().casefold()
        if (found := self._procedures_by_name.get(wanted)) is not None:
            return found
        from difflib import get_close_matches  # 5 ms, only on a refusal

        every = list(self._procedures_by_name)
        raise UnknownName(
            "procedure", name, get_close_matches(wanted, every, n=3), known=tuple(every), where="procedure"
        )

    def procedures_for(self, kind_name: str) -> tuple[Procedure, ...]:
        """What the bench can do to one kind (or to a car), in the order it should be done."""
        return tuple(self.procedure(name) for name in self.measured_kind(kind_name).procedures)

    def pin_list(self, part_number: str) -> PinList | None:
        """The pins of a loom of that number, None where no list is on file."""
        for row in self.own.get("pins", ()):
            if squeeze(row["number"]) == squeeze(part_number):
                return PinList(row["number"], {str(pin): str(to) for pin, to in row["pins"].items()}, row["source"])
        return None

    @cached_property
    def failures(self) -> FailureData:
        """How parts fail, what tests and claims weigh."""
        return failure_data_with(self.own)

    def failure_modes(self, kind_name: str, variant: str = "") -> KindModes:
        """How one kind, or that sort of it, fails; a kind of a workshop's own fails as "other" does."""
        return self.failures.modes_of(self.kind(kind_name).name, variant)

    @cached_property
    def _procedures_by_name(self) -> dict[str, Procedure]:
        return {each.name: each for each in self.procedures}


PROGRAM = Reference()
"""The program's own data, with no workshop's over them."""


def reference_of(session: Session) -> Reference:
    """The data in force for the record of a session."""
    found: Reference = session.info["reference"]
    return found
