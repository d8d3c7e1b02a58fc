"""Reference data: how a disturbed two-screw full-load stop changes the mixture, and what to check before blaming it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing

__all__ = ["AdjusterData", "Check", "Disturbance", "adjuster_data", "adjuster_data_from"]


@dataclass(frozen=True)
class Disturbance:
    """One way in which the stop can be disturbed: the loads, the mixture there, and the effect at each load."""

    loads: str
    mixture: str
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

    disturbances: tuple[Disturbance, ...]
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
    rest = {name: value for name, value in data.items() if name not in ("disturbance", "check")}
    return AdjusterData(
        tuple(Disturbance(**row) for row in data["disturbance"]), tuple(Check(**row) for row in data["check"]), **rest
    )


@lru_cache(maxsize=1)
def adjuster_data() -> AdjusterData:
    """The program's data."""
    text = files("inventory.reference").joinpath("adjuster.toml").read_text(encoding="utf-8")
    return adjuster_data_from(tomllib.loads(text))
