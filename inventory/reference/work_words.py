"""Reference data: the words in a report of work that speak of the unit itself."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing

__all__ = ["WorkWords", "work_words", "work_words_from"]


@dataclass(frozen=True)
class WorkWords:
    """`spoken` finds a word that speaks of the unit; `apart`: phrases that do not, though they have such a word.

    `covering` finds a word of work before which ports and plug are covered.
    """

    spoken: re.Pattern[str]
    apart: re.Pattern[str]
    covering: re.Pattern[str]
    standing: Standing
    source: str

    def of_the_unit(self, what: str) -> str:
        """The first word of a report that speaks of the unit itself, as written; "" if none does."""
        found = self.spoken.search(self.apart.sub(lambda phrase: "_" * len(phrase[0]), what))
        return found["word"] if found else ""

    def asks_for_covers(self, what: str) -> bool:
        """Whether a report speaks of cleaning, blasting or coating, which get into open ports."""
        return bool(self.covering.search(what))


def work_words_from(data: Mapping[str, Any]) -> WorkWords:
    """The contents of work_words.toml as typed values."""
    words = _one_of(word for several in data["words"].values() for word in several)
    denied = "".join(rf"(?<!\b{re.escape(word)} )" for word in data["denied"]["before"])
    return WorkWords(
        re.compile(rf"{denied}\b(?P<word>{words})\b", re.IGNORECASE),
        re.compile(rf"\b({_one_of(data['apart']['phrases'])})\b", re.IGNORECASE),
        re.compile(rf"{denied}\b({_one_of(data['cover']['words'])})\b", re.IGNORECASE),
        data["standing"],
        data["source"],
    )


def _one_of(words: Any) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


@lru_cache(maxsize=1)
def work_words() -> WorkWords:
    """The program's data."""
    text = files("inventory.reference").joinpath("work_words.toml").read_text(encoding="utf-8")
    return work_words_from(tomllib.loads(text))
