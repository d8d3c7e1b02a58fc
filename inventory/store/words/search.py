"""The text a part is found by, and the words that search it. Writing the index is in `index`.

Each part has one text: its fields, folded, between delimiters that no folded word can hold, so that a
word never matches across two fields. Fields that a word of one or two characters may match whole
stand between delimiters of their own, which makes even those words three characters long.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from inventory.store.words.text import fold

__all__ = ["LIMIT", "folded_words", "matching", "search_text"]

#: How many finds a browser asks for: one more than it shows as a number.
LIMIT = 1001

_FIELD = "\x1f"
_WHOLE_START, _WHOLE_END = "\x1c", "\x1d"
_LIKE_SPECIAL = str.maketrans({"\\": r"\\", "%": r"\%", "_": r"\_"})


def search_text(fields: Iterable[str | None], whole: Iterable[str | None], folded: Callable[[str], str] = fold) -> str:
    """The text of one part: `whole` are the fields that short words match, `fields` all others.

    `folded` is `fold`, or what remembers its answers.
    """
    parts = [_FIELD + folded(field) for field in fields if field]
    parts += [_WHOLE_START + folded(field) + _WHOLE_END for field in whole if field]
    return "".join(parts) + _FIELD


def folded_words(words: Sequence[str]) -> list[str]:
    """The words as they are looked up: at least three characters each; words that fold to nothing are dropped."""
    folded = [fold(word) for word in words]
    return [word if len(word) > 2 else f"{_WHOLE_START}{word}{_WHOLE_END}" for word in folded if word]


def matching(words: Sequence[str], engine_name: str) -> tuple[str, dict[str, object]]:
    """SQL that selects the keys of the parts every word matches, and its parameters. `words` are folded."""
    if engine_name == "sqlite":
        phrase = " AND ".join('"' + word.replace('"', '""') + '"' for word in words)
        return "SELECT rowid AS part_id FROM search_index WHERE search_index MATCH :phrase", {"phrase": phrase}
    likes = " AND ".join(f"text LIKE :word{place}" for place in range(len(words)))
    grams = sorted({gram for word in words for gram in _covering(word)})
    parameters: dict[str, object] = {
        f"word{place}": f"%{word.translate(_LIKE_SPECIAL)}%" for place, word in enumerate(words)
    }
    sql = f"SELECT part_id FROM search_entry WHERE matchmark_trigrams(text) @> CAST(:grams AS text[]) AND {likes}"  # noqa: S608 - only placeholders are put in
    return sql, {**parameters, "grams": grams}


def _covering(word: str) -> list[str]:
    """Trigrams that cover a word side by side: as selective as all of them, at half the cost (the LIKE decides)."""
    return [word[place : place + 3] for place in (*range(0, len(word) - 2, 3), len(word) - 3)]
