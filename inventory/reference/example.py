"""A workshop's own file to start from: every sort of entry once, with invented numbers, all of it commented out."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from inventory.errors import Refused

__all__ = ["example", "write_example"]


def example() -> str:
    """The entries as they would stand in force."""
    return files("inventory.reference").joinpath("workshop_example.toml").read_text(encoding="utf-8")


def write_example(file: Path, *, over: bool = False) -> None:
    """Write the example with its entries commented out. Raises `Refused` where a file is there, or none can be."""
    lines = [line if not line or line.startswith("#") else f"#: {line}" for line in example().splitlines()]
    try:
        with file.open("w" if over else "x", encoding="utf-8") as opened:
            opened.write("\n".join(lines) + "\n")
    except FileExistsError:
        raise Refused(
            "file-exists", f"There is already a file at {file}. It was not touched", hint="to replace it: --over"
        ) from None
    except (OSError, ValueError) as problem:
        why = problem.strerror.lower() if isinstance(problem, OSError) and problem.strerror else str(problem)
        raise Refused("file-not-written", f"{file} cannot be written: {why}") from None
