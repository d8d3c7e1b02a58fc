"""Reference data: how the two-screw full-load stop changes the mixture, and what to check before blaming it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing

__all__ = ["AdjusterData", "Check", "Movement", "adjuster_data", "adjuster_data_from"]


@dataclass(frozen=True)
class Movement:
    """One possible movement of the screws, and its effect at each load: leaner, richer or unchanged."""

    name: str
    part_load: str
    full_load: str


@dataclass(frozen=True)
class Check:
    """A plain cause to check first."""

    name: str
    says: str


@dataclass(frozen=True)
class AdjusterData:
    """All of it. `not_read` by the type of stop, `caps` by the state of the cap; the rest are sentences."""

    movements: tuple[Movement, ...]
    checks: tuple[Check, ...]
    not_read: Mapping[str, str]
    caps: Mapping[str, str]
    kinds: list[str]
    rule: str
    before: str
    one_fits: str
    some_fit: str
    none_fits: str
    nothing_observed: str
    nothing_changed: str
    care: str
    remedy: str
    standing: Standing
    source: str


def adjuster_data_from(data: Mapping[str, Any]) -> AdjusterData:
    """The contents of adjuster.toml as typed values."""
    rest = {name: value for name, value in data.items() if name not in ("movement", "check")}
    return AdjusterData(
        tuple(Movement(**row) for row in data["movement"]), tuple(Check(**row) for row in data["check"]), **rest
    )


@lru_cache(maxsize=1)
def adjuster_data() -> AdjusterData:
    """The program's data."""
    text = files("inventory.reference").joinpath("adjuster.toml").read_text(encoding="utf-8")
    return adjuster_data_from(tomllib.loads(text))
