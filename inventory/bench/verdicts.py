"""The judgement on a run: verdict, sentence, figures and reasons."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.reasons import Reason

__all__ = ["GUARD", "TWO_SIDED", "RunJudgement", "Verdict", "worst"]

Verdict = Literal["pass", "fail", "undecided", "not judged"]

GUARD = 1.645
"""Guard in standard uncertainties between a value and a limit: a one-sided risk of 5 %, normal distribution."""

TWO_SIDED = 1.960
"""Standard uncertainties on either side of a value that contain 95 % of a normal distribution."""

_WORST_FIRST: tuple[Verdict, ...] = ("fail", "undecided", "not judged", "pass")


@dataclass(frozen=True)
class RunJudgement:
    """What one run proves. `figures` has the keys of the procedure's table; `says` is in the unit typed.

    `doubtful`: its instrument cannot be trusted, so its numbers do not count.
    """

    verdict: Verdict
    says: str
    figures: dict[str, object]
    reasons: tuple[Reason, ...]
    doubtful: bool = False

    def as_dict(self) -> dict[str, object]:
        """The judged part of a run's JSON."""
        return {
            "verdict": self.verdict,
            "says": self.says,
            "figures": self.figures,
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


def worst(verdicts: list[Verdict]) -> Verdict:
    """The worst of several verdicts: fail, then undecided, then not judged, then pass."""
    return min(verdicts, key=_WORST_FIRST.index, default="not judged")
