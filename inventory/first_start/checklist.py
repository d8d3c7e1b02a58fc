"""The checks of a car's first start: which are answered, which comes next. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from inventory.facts.order import in_order
from inventory.reference.first_start import StartCheckOnFile

__all__ = ["FirstStart", "StartStep", "steps_of"]


@dataclass(frozen=True)
class StartStep:
    """One check. `state`: open, good, not good, or measured (a run on the bench answers it); `found` in words."""

    name: str
    says: str
    state: Literal["open", "good", "not good", "measured"] = "open"
    found: str = ""
    on: str = ""
    fact: str = ""
    run: str = ""
    standing: str = ""
    source: str = ""

    @property
    def done(self) -> bool:
        """Whether it needs nothing more."""
        return self.state in ("good", "measured")


@dataclass(frozen=True)
class FirstStart:
    """The first start of a car after a strip-down begun on the day `since`; `off`: what is still to be put on."""

    car: str
    since: str
    off: tuple[str, ...]
    steps: tuple[StartStep, ...]

    @property
    def next(self) -> StartStep | None:
        """The first check that is not done."""
        return next((step for step in self.steps if not step.done), None)

    @property
    def waits(self) -> bool:
        """Whether everything is on and a check is not done."""
        return not self.off and self.next is not None

    @property
    def brief(self) -> str:
        """How it stands, in a line."""
        done = sum(step.done for step in self.steps)
        if self.next is None:
            return f"first start: all {done} checks done"
        how = f"not good: {self.next.found}" if self.next.state == "not good" else f"next: {self.next.name}"
        return f"first start: {done} of {len(self.steps)} checks done, {how}"

    def before(self, name: str) -> tuple[str, ...]:
        """The checks that come before one and are not done."""
        place = next(place for place, step in enumerate(self.steps) if step.name == name)
        return tuple(step.name for step in self.steps[:place] if not step.done)

    def as_dict(self) -> dict[str, object]:
        """The object in JSON."""
        return {
            "car": self.car,
            "since": self.since,
            "off": list(self.off),
            "done": self.next is None,
            "next": self.next.name if self.next else None,
            "checks": [dict(vars(step)) for step in self.steps],
        }


def steps_of(
    checks: Sequence[StartCheckOnFile], answers: Iterable[Any], runs: Mapping[str, Any], begun: Any
) -> tuple[StartStep, ...]:
    """The checks with the last answer to each since the car was taken apart.

    `answers`: rows of `start_check`; `runs`: by procedure, the last run on the car; `begun`: the strip-down.
    """
    last = {fact.step: fact for fact in in_order(answers) if _since(fact, begun)}
    return tuple(_step(check, last.get(check.name), runs.get(check.run), begun) for check in checks)


def _step(check: StartCheckOnFile, answer: Any, run: Any, begun: Any) -> StartStep:
    step = StartStep(check.name, check.says, run=check.run, standing=check.standing, source=check.source)
    if answer is not None:
        fact = f"start_check-{answer.id}"
        return replace(step, state=answer.came_out, found=answer.found or "", on=answer.so_from, fact=fact)
    if run is not None and _since(run, begun):
        return replace(step, state="measured", on=run.so_from, fact=f"bench_run-{run.id}")
    return step


def _since(fact: Any, begun: Any) -> bool:
    return bool((fact.counts_from, fact.ranked) > (begun.counts_from, begun.ranked))
