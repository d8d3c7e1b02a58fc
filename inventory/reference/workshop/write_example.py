"""Writes an example of a workshop's file: every sort of entry once, with invented numbers, all commented out."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from inventory.store.files import whole_file
from inventory.store.systems import write_text

__all__ = ["example", "write_example"]


def example() -> str:
    """The example with its entries in force."""
    return files("inventory.reference.workshop").joinpath("example.toml").read_text(encoding="utf-8")


def write_example(file: Path, *, overwrite: bool = False) -> None:
    """Write the example with its entries commented out. Raises `Refused` if the file exists or cannot be written."""
    lines = [line if not line or line.startswith("#") else f"#: {line}" for line in example().splitlines()]
    with whole_file(file, overwrite=overwrite) as part:
        write_text(part, "\n".join(lines) + "\n")
