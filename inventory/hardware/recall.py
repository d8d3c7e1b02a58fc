"""Which facts speak of a batch, a product or rubber of an age. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from inventory.hardware.rubber import cure_code, quarter_words, quarters_in
from inventory.store.words.text import fold

__all__ = ["why_recalled"]


def why_recalled(wanted: str, texts: Mapping[str, str | None]) -> str:
    """Why texts, by what each says ("batch"), match what is wanted; "" if none does.

    A quarter matches however it is written, "2025-Q3", "3/25" or "Q3 2025"; anything else anywhere in a text.
    """
    quarter, folded = cure_code(wanted), fold(wanted)
    for name, text in texts.items():
        if not text:
            continue
        if quarter and quarter in quarters_in(text):
            return f"{name}: {text}, {quarter_words(quarter)}" if fold(wanted) not in fold(text) else f"{name}: {text}"
        if folded and folded in fold(text):
            return f"{name}: {text}"
    return ""
