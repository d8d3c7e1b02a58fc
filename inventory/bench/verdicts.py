"""The judgement on a run: verdict, sentence, figures and reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.reasons import Reason

__all__ = ["DIFFERS", "GUARD", "TWO_SIDED", "RunJudgement", "Verdict", "left_out", "with_doubt", "worst"]

Verdict = Literal["pass", "fail", "undecided", "not judged"]

GUARD = 1.645
"""Guard in standard uncertainties between a value and a limit: a one-sided risk of 5 %, normal distribution."""

TWO_SIDED = 1.960
"""Standard uncertainties on either side of a value that contain 95 % of a normal distribution."""

DIFFERS = "differs from the usual; the workshop manual for its number would decide"
"""Said of a reading outside a limit from memory, but within that limit's own doubt."""

_WORST_FIRST: tuple[Verdict, ...] = ("fail", "undecided", "not judged", "pass")


@dataclass(frozen=True)
class RunJudgement:
    """What one run proves. `figures` has the keys of the procedure's table; `says` is in the unit typed.

    `doubtful`: its instrument cannot be trusted, so its numbers do not count. `covers`: the readings that were judged,
    where that is not all of the procedure (None: all); the verdict is of these alone. It is empty where nothing was
    learned of the part itself. `whole`: how many readings the whole procedure has, where `covers` names some of them.
    """

    verdict: Verdict
    says: str
    figures: dict[str, object]
    reasons: tuple[Reason, ...]
    doubtful: bool = False
    covers: tuple[str, ...] | None = None
    whole: int = 0

    @property
    def says_why(self) -> str:
        """The sentence without the verdict that it may begin with, to stand after that verdict."""
        bare = self.says.removeprefix(self.verdict)
        return bare[2:] if bare != self.says and bare[:2] in (": ", ", ", "; ") else self.says

    def as_dict(self) -> dict[str, object]:
        """The judged part of a run's JSON."""
        return {
            "verdict": self.verdict,
            "says": self.says,
            "figures": self.figures,
            "covers": None if self.covers is None else list(self.covers),
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


def with_doubt(usual: Verdict, widest: Verdict) -> tuple[Verdict, bool]:
    """The verdict by a limit that is itself in doubt, and whether the reading only differs from the usual.

    `usual` is the verdict by the limit, `widest` that by the limit as far out as it may be.
    """
    differs = usual == "fail" and widest != "fail"
    return ("undecided" if differs else usual), differs


def left_out(names: Sequence[str]) -> str:
    """`; primary and secondary not measured`; empty if nothing was left out."""
    if not names:
        return ""
    several = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return f"; {several} not measured"


def worst(verdicts: list[Verdict]) -> Verdict:
    """The worst of several verdicts: fail, then undecided, then not judged, then pass."""
    return min(verdicts, key=_WORST_FIRST.index, default="not judged")
