"""What a mixture run on a car says of the pair that was on it. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from inventory.bench.verdicts import Verdict

__all__ = ["mixture_verdict", "reading_verdicts"]

_LOADS = ("cruise", "full load")


def mixture_verdict(figures: Mapping[str, object]) -> Verdict:
    """Right at cruise and at full load: pass; off at either: fail, by CO or by lambda. Idle alone shows nothing."""
    found = reading_verdicts(figures)
    by_load = [{found.get(f"{load} {by}") for by in ("CO", "lambda")} for load in _LOADS]
    if any("fail" in load for load in by_load):
        return "fail"
    return "pass" if all("pass" in load for load in by_load) else "undecided"


def reading_verdicts(figures: Mapping[str, object]) -> dict[str, object]:
    """The verdict of each reading of a run, from its figures."""
    return {name: figure.get("verdict") for name, figure in figures.items() if isinstance(figure, Mapping)}
