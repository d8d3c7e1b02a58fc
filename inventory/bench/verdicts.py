"""What a judgement on a run is made of: the verdict, the sentence, the figures, the reasons."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.reasons import Reason

__all__ = ["GUARD", "TWO_SIDED", "RunJudgement", "Verdict", "worst"]

Verdict = Literal["pass", "fail", "undecided", "not judged"]

GUARD = 1.645
"""Standard uncertainties kept from a limit before it is called: 5 % risk on one side of a normal law."""

TWO_SIDED = 1.960
"""Standard uncertainties on either side of a value that hold 95 % of a normal law."""

_WORST_FIRST: tuple[Verdict, ...] = ("fail", "undecided", "not judged", "pass")


@dataclass(frozen=True)
class RunJudgement:
    """What one run proves. `figures` has the keys of the procedure's table; `says` is in the unit typed.

    `doubtful`: its instrument cannot be relied on, so no number of it counts.
    """

    verdict: Verdict
    says: str
    figures: dict[str, object]
    reasons: tuple[Reason, ...]
    doubtful: bool = False

    def as_dict(self) -> dict[str, object]:
        """The part of a run's JSON that is judged."""
        return {
            "verdict": self.verdict,
            "says": self.says,
            "figures": self.figures,
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


def worst(verdicts: list[Verdict]) -> Verdict:
    """The verdict on several readings together: fail before undecided before not judged before pass."""
    return min(verdicts, key=_WORST_FIRST.index, default="not judged")
