"""A sheet of made parts with seven facts each, by which sizes and speeds of the journal are told."""

from __future__ import annotations

import csv
import random
from pathlib import Path

__all__ = ["seven_facts"]

#: What is read on it, a seal, its condition, its place, how it came, its value, a remark.
_HEAD = (
    "kind", "maker", "part number", "serial", "date code", "match code", "seal", "seal state", "condition", "place",
    "acquired on", "acquired from", "price", "price currency", "value", "value currency", "value basis", "notes",
)  # fmt: skip
_KINDS = ("pressure sensor", "control unit", "relay", "injector", "auxiliary air valve", "fuel pump")


def seven_facts(path: Path, rows: int, *, first: int = 0) -> Path:
    """A csv of so many parts; `first` sets their serials apart from those of another sheet. Gives the path."""
    chance = random.Random(rows)
    with path.open("w", encoding="utf-8", newline="") as file:
        sheet = csv.writer(file)
        sheet.writerow(_HEAD)
        for row in range(first + 1, first + rows + 1):
            number = f"HV {200 + chance.randrange(190)} {chance.randrange(977):03}"
            day = f"20{chance.randrange(10, 26)}-0{chance.randrange(1, 10)}-1{chance.randrange(10)}"
            sheet.writerow((
                chance.choice(_KINDS), chance.choice(("Ostrell", "Tolvranne", "Murnebeck")), number,
                f"{66 + row % 9}-{row:06}", f"{chance.randrange(52):02}/{chance.randrange(66, 75)}",
                chance.choice("KMNPR"), "cap", chance.choice(("intact", "missing", "not seen")), chance.randrange(4),
                f"Shelf {chance.randrange(40)}", day, f"Seller {chance.randrange(60)}", chance.randrange(5, 900),
                "EUR", chance.randrange(5, 900), "EUR", "market", f"box {row}, lid bent",
            ))  # fmt: skip
    return path
