"""The reference data in force in one state of a record, as one value: kinds, procedures, failure modes.

It is made from the program's files and the workshop's own limits, which are facts of the record, and never changes.
Two records with different limits can be open in one process.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol

from inventory.errors import UnknownName
from inventory.reference.build_list import BuildList, build_lists_with
from inventory.reference.load import Kind, car_kind, kinds_from, near_kinds, program_digest
from inventory.reference.modes import FailureData, KindModes, failure_data_with
from inventory.reference.procedure import PinList, Procedure, procedures_with
from inventory.store.days.date_words import day_words
from inventory.store.words.near import near_names
from inventory.store.words.text import fold, squeeze

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.facts import AsOf

__all__ = ["PROGRAM", "Limits", "Reference", "TakenIn", "reference_of"]


@dataclass(frozen=True)
class TakenIn:
    """The fact by which a workshop's own limits are on record.

    `fact`: its id. `on`: the day they count from, EDTF. `digest`: SHA-256 of the text.
    """

    fact: str
    on: str
    digest: str


@dataclass(frozen=True, eq=False)
class Reference:
    """The program's reference data with a workshop's overrides. `file`: where they were read, empty if there are none.

    `own`: the checked contents of that file. `meant`: the kinds that were meant by misspelt names, by folded name.
    `taken`: the fact of the record that they are. `others`: what the record went by on other days: kinds and tests
    that are only there keep their names, but nothing is judged by them.
    """

    file: str = ""
    own: Mapping[str, Any] = field(default_factory=dict)
    meant: Mapping[str, str] = field(default_factory=dict)
    taken: TakenIn | None = None
    others: tuple[Reference, ...] = ()

    @cached_property
    def kinds(self) -> tuple[Kind, ...]:
        """Every kind, in the order they are offered; a workshop's own stand before "other"."""
        return kinds_from(self.own)

    @cached_property
    def edition(self) -> str:
        """The first 16 digits of the SHA-256 of the program's data and the workshop's own."""
        own = json.dumps(self.own, sort_keys=True, default=str)
        return hashlib.sha256(f"{program_digest()} {own}".encode()).hexdigest()[:16]

    @property
    def limits(self) -> str:
        """Whose limits these are, and of which edition, for people."""
        whose = f"workshop's own limits of {day_words(self.taken.on)}" if self.taken else "program's limits"
        return f"the {whose}, edition {self.edition[:12]}"

    def limits_as_dict(self) -> dict[str, str | None]:
        """The same in JSON: the day and the fact of the workshop's own (null without any), and the edition."""
        fact, on = (self.taken.fact, self.taken.on) if self.taken else (None, None)
        return {"own_of": on, "fact": fact, "edition": self.edition}

    def kind(self, name: str) -> Kind:
        """The kind of that name, ignoring case. Raises `UnknownName`, with the nearest names."""
        wanted = fold(self.meant.get(fold(name), name))
        for each in self.kinds:
            if fold(each.name) == wanted:
                return each
        for each in (kind for other in self.others for kind in other.kinds):
            if fold(each.name) == wanted:
                known = (name for name in each.procedures if name in self._procedures_by_name)
                return replace(each, procedures=tuple(known))
        near = near_names(name, (each.name for each in self.kinds)) or near_kinds(name, self.kinds)
        raise UnknownName("kind", name, near, where="kind")

    def measured_kind(self, name: str) -> Kind:
        """The kind of that name, or the kind "car": the bench measures whole cars too."""
        car = car_kind()
        return car if fold(name) == fold(car.name) else self.kind(name)

    def factory_seals(self, kind_name: str, part_number: str = "") -> tuple[str, ...]:
        """The seals with which a part number left the factory; those of the kind if the number is not on file."""
        wanted = squeeze(part_number)
        for row in self.own.get("seals", ()) if wanted else ():
            if squeeze(row["number"]) == wanted:
                return tuple(row["seals"])
        return self.kind(kind_name).seals

    @cached_property
    def procedures(self) -> tuple[Procedure, ...]:
        """Every bench procedure, the workshop's own last."""
        return procedures_with(self.own)

    def procedure(self, name: str) -> Procedure:
        """The procedure of that name. Raises `UnknownName`, with the nearest names or all of them."""
        wanted = name.strip().casefold()
        for each in (self, *self.others):
            if (found := each._procedures_by_name.get(wanted)) is not None:
                return found
        from difflib import get_close_matches  # 5 ms, only on a refusal

        every = list(self._procedures_by_name)
        raise UnknownName(
            "procedure", name, get_close_matches(wanted, every, n=3), known=tuple(every), where="procedure"
        )

    def procedures_for(self, kind_name: str) -> tuple[Procedure, ...]:
        """The procedures for one kind (or a car), in the order in which they should be done."""
        return tuple(self.procedure(name) for name in self.measured_kind(kind_name).procedures)

    def pin_list(self, part_number: str) -> PinList | None:
        """The pins of a loom of that number; None if no list is on file."""
        for row in self.own.get("pins", ()):
            if squeeze(row["number"]) == squeeze(part_number):
                return PinList(row["number"], {str(pin): str(to) for pin, to in row["pins"].items()}, row["source"])
        return None

    @cached_property
    def build_lists(self) -> tuple[BuildList, ...]:
        """What belongs on a sort of car: the shipped lists and the workshop's own."""
        return build_lists_with(self.own)

    def build_list(self, name: str) -> BuildList:
        """The build list of that name, ignoring case. Raises `UnknownName`, with the nearest names or all of them."""
        found = next((each for each in self.build_lists if fold(each.name) == fold(name)), None)
        if found is None:
            every = tuple(each.name for each in self.build_lists)
            raise UnknownName("build list", name, near_names(name, every), known=every, where="build list")
        return found

    @cached_property
    def failures(self) -> FailureData:
        """How parts fail, what tests and claims weigh."""
        return failure_data_with(self.own)

    def failure_modes(self, kind_name: str, variant: str = "") -> KindModes:
        """The failure modes of a kind, or of a sort of it; a workshop's own kind has those of "other"."""
        return self.failures.modes_of(self.kind(kind_name).name, variant)

    @cached_property
    def _procedures_by_name(self) -> dict[str, Procedure]:
        return {each.name: each for each in self.procedures}


PROGRAM = Reference()
"""The program's own data, without a workshop's."""


class Limits(Protocol):
    """What a session is handed down to find the data in force: `record.load_limits.LimitsOnRecord`."""

    def of(self, session: Session, when: AsOf | None) -> Reference:
        """The data in force in a state of the record; without one, now."""


def reference_of(session: Session, when: AsOf | None = None) -> Reference:
    """The data in force for the record of a session in a state of it; without one, now."""
    limits: Limits = session.info["limits"]
    return limits.of(session, when)
