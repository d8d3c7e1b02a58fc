"""How much an installation holds: our own packages, and every distribution that they need, as files in megabytes."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from importlib.metadata import distribution
from pathlib import Path

from packaging.requirements import Requirement

HOME = Path(__file__).parents[2]
OURS = ("inventory", "tui", "migrations", "demo_db")


def needed(requirements: list[str], seen: set[str]) -> Iterator[str]:
    """The names of these distributions and of all that they need in turn, each once."""
    for requirement in map(Requirement, requirements):
        name = requirement.name.lower()
        if name not in seen and (requirement.marker is None or requirement.marker.evaluate({"extra": ""})):
            seen.add(name)
            yield name
            yield from needed(distribution(name).requires or [], seen)


def megabytes(files: list[Path]) -> float:
    """What these files hold, compiled modules among them."""
    return sum(file.stat().st_size for file in files if file.is_file()) / 1e6


def test_size() -> None:
    asked = tomllib.loads((HOME / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    sizes = {"matchmark itself": megabytes([file for package in OURS for file in (HOME / package).rglob("*")])}
    for name in needed(asked, set()):
        sizes[name] = megabytes([Path(str(file.locate())) for file in distribution(name).files or []])
    print(f"\nInstalled: {sum(sizes.values()):.0f} MB in {len(sizes)} distributions; the largest")
    for name, size in sorted(sizes.items(), key=lambda each: -each[1])[:12]:
        print(f"  {name:<20} {size:6.1f} MB")
