"""All tables of a record, imported together: for migrations, for `verify`, and for whoever needs them all."""

from __future__ import annotations

import inventory.bench.tables
import inventory.cars.tables
import inventory.evidence.tables
import inventory.pairing.tables
import inventory.parts.tables
import inventory.places.tables
import inventory.provenance.tables
import inventory.seals.tables
import inventory.teardown.tables
import inventory.worth.tables  # noqa: F401
from inventory.store.tables import Base, FactColumns

__all__ = ["FACTS"]

#: Every table of facts, by name: what stands before the dash in a fact's id.
FACTS: dict[str, type[FactColumns]] = {
    mapper.local_table.name: mapper.class_  # type: ignore[attr-defined]
    for mapper in Base.registry.mappers
    if issubclass(mapper.class_, FactColumns)
}
