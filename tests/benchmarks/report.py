"""Timing in pairs and printing the table. Nothing is asserted: machines are noisy, ratios are quoted."""

from __future__ import annotations

import os
import statistics
import subprocess
import time
from collections.abc import Callable, Sequence
from typing import NamedTuple

__all__ = ["MEASURED", "Measured", "as_installed", "in_turn", "percentile", "run_command", "table", "timed"]


class Measured(NamedTuple):
    """One line of a table: what was measured, ours and the bare floor (s)."""

    title: str
    name: str
    ours: float
    floor: float

    @property
    def ratio(self) -> float:
        """How many times as long as the floor."""
        return self.ours / self.floor


#: What this process measured.
MEASURED: list[Measured] = []


def as_installed() -> dict[str, str]:
    """The environment of a process that may keep its byte code, as an installed program has it.

    Without it our modules would be compiled anew each time, and those of the floor would not.
    """
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def run_command(command: Sequence[str]) -> Callable[[], None]:
    """A function that runs a command to its end."""
    environment = as_installed()

    def run() -> None:
        subprocess.run(command, check=True, capture_output=True, env=environment)

    return run


def timed(function: Callable[[], object]) -> float:
    """Seconds that one call takes."""
    start = time.perf_counter()
    function()
    return time.perf_counter() - start


def in_turn(ours: Callable[[], object], floor: Callable[[], object], runs: int = 9) -> tuple[float, float]:
    """The medians of the two, run in turn after one warm-up each, in seconds."""
    ours()
    floor()
    pairs = [(timed(ours), timed(floor)) for _ in range(runs)]
    return statistics.median(pair[0] for pair in pairs), statistics.median(pair[1] for pair in pairs)


def percentile(times: Sequence[float], share: float) -> float:
    """The time that so large a share of the calls stays under."""
    return sorted(times)[min(len(times) - 1, round(share * len(times)))]


def table(title: str, rows: Sequence[tuple[str, float, float]], unit: str = "ms", scale: float = 1e3) -> None:
    """Print what was measured: name, ours, the bare floor, their ratio."""
    print(f"\n{title}")
    MEASURED.extend(Measured(title, name, ours, floor) for name, ours, floor in rows)
    for name, ours, floor in rows:
        print(f"  {name:<48} {ours * scale:9.2f} {unit}   floor {floor * scale:9.2f} {unit}   {ours / floor:5.2f}x")
