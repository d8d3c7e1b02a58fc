"""A workshop's own file to start from: every sort of entry once, with invented numbers, all of it commented out."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from inventory.store.files import whole_file

__all__ = ["example", "write_example"]


def example() -> str:
    """The entries as they would stand in force."""
    return files("inventory.reference").joinpath("workshop_example.toml").read_text(encoding="utf-8")


def write_example(file: Path, *, over: bool = False) -> None:
    """Write the example with its entries commented out. Raises `Refused` where a file is there, or none can be."""
    lines = [line if not line or line.startswith("#") else f"#: {line}" for line in example().splitlines()]
    with whole_file(file, over=over) as part:
        part.write_text("\n".join(lines) + "\n", encoding="utf-8")
