"""Names on a list, and the nearest to one that is not on it."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.errors import UnknownName

__all__ = ["nearest", "one_of"]

_CLOSE_ENOUGH = 60


def nearest(name: str, known: Sequence[str], count: int = 3) -> list[str]:
    """The known names nearest to one that is not among them, best first."""
    from rapidfuzz import fuzz, process, utils  # about 15 ms, needed only when a name is unknown

    found = process.extract(
        name, known, scorer=fuzz.WRatio, processor=utils.default_process, limit=count, score_cutoff=_CLOSE_ENOUGH
    )
    return [str(match) for match, _, _ in found]


def one_of(what: str, value: str | None, known: tuple[str, ...], shown: str = "") -> None:
    """Refuse a word that is not among the known ones; the message calls it `shown`, else `what`."""
    if value is not None and value not in known:
        raise UnknownName(what, value, nearest(value, known), known=known, shown=shown)
