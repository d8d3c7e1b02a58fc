"""Names that are nearly right."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["nearest"]

_CLOSE_ENOUGH = 60


def nearest(name: str, known: Sequence[str], count: int = 3) -> list[str]:
    """The known names nearest to one that is not among them, best first."""
    from rapidfuzz import fuzz, process, utils  # about 15 ms, needed only when a name is unknown

    found = process.extract(
        name, known, scorer=fuzz.WRatio, processor=utils.default_process, limit=count, score_cutoff=_CLOSE_ENOUGH
    )
    return [str(match) for match, _, _ in found]
