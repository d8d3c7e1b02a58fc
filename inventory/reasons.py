"""The reasons of a judgement, and where each rule comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["COMMON_PRACTICE", "FROM_MEMORY", "PUBLISHED", "WORKSHOP", "Reason", "Standing"]

Standing = Literal["published", "common practice", "workshop judgement", "from memory"]

PUBLISHED: Standing = "published"
COMMON_PRACTICE: Standing = "common practice"
WORKSHOP: Standing = "workshop judgement"
FROM_MEMORY: Standing = "from memory"


@dataclass(frozen=True)
class Reason:
    """One step of a judgement.

    `says` is the trade's sentence; `rule` the rule applied; `source` where the rule comes from
    ("no source" for common practice); `facts` the ids of the facts it rests on ("bench_run-12").
    """

    says: str
    rule: str = ""
    source: str = ""
    standing: Standing = WORKSHOP
    facts: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, object]:
        """The object in a JSON list `reasons`."""
        return {
            "says": self.says,
            "rule": self.rule,
            "source": self.source,
            "standing": self.standing,
            "facts": list(self.facts),
        }
