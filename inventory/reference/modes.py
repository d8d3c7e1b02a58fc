"""Reference data: how parts of each kind fail, how often each way, and which test shows it.

The data are in modes.toml, read once. Every number carries its standing and source.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing
from inventory.reference.load import kind

__all__ = ["FailureMode", "KindModes", "StaleWeights", "failure_modes", "false_alarm", "stale_weights"]


@dataclass(frozen=True)
class FailureMode:
    """One way a kind fails: `share` of the bad ones (0 to 1), and each test's chance of showing it (0 to 1)."""

    name: str
    phrase: str
    share: float
    shows: dict[str, float]


@dataclass(frozen=True)
class KindModes:
    """How a kind fails. `good` is the share of used, untested parts that turn out good (0 to 1)."""

    kind: str
    good: float
    modes: tuple[FailureMode, ...]
    standing: Standing
    source: str


@dataclass(frozen=True)
class StaleWeights:
    """What a test made before work on the unit still weighs (0 to 1), passed and failed."""

    passed: float
    failed: float


def failure_modes(kind_name: str) -> KindModes:
    """How one kind fails; a kind of a workshop's own fails as "other" does."""
    return _all_modes().get(kind(kind_name).name) or _all_modes()["other"]


def false_alarm(test: str) -> float | None:
    """A test's chance (0 to 1) of failing a good part; None for what is no test on file."""
    value = _data()["false_alarm"].get(test)
    return None if value is None else float(value)


def stale_weights() -> StaleWeights:
    """What tests made before work on the unit still weigh."""
    return StaleWeights(_data()["stale_pass_weight"], _data()["stale_fail_weight"])


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    return tomllib.loads(files("inventory.reference").joinpath("modes.toml").read_text(encoding="utf-8"))


@lru_cache(maxsize=1)
def _all_modes() -> dict[str, KindModes]:
    data = _data()
    return {
        row["name"]: KindModes(
            kind=row["name"],
            good=row["good"],
            modes=tuple(FailureMode(**mode) for mode in row["mode"]),
            standing=data["standing"],
            source=data["source"],
        )
        for row in data["kind"]
    }
