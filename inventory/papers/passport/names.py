"""Names of people in what leaves the house: found as whole words, whatever their case, and cut. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

__all__ = ["names_in", "without"]

#: Shorter names would be found in words that are none.
_SHORTEST = 3


def names_in(value: Any, names: Mapping[str, str]) -> set[str]:
    """Which of these names stand in a text, or in what is made of texts."""
    texts: list[str] = []
    _mapped(value, lambda text: texts.append(text) or text)  # type: ignore[func-returns-value]
    whole = "\n".join(texts)
    return {name for name in names if len(name) >= _SHORTEST and _pattern(name).search(whole)}


def without(value: Any, names: Mapping[str, str]) -> Any:
    """The same with a role instead of each of these names. `names`: the role of each."""

    def cut(text: str) -> str:
        for name in sorted(names_in(text, names), key=len, reverse=True):
            text = _pattern(name).sub(lambda _, role=names[name]: role, text)  # type: ignore[misc]
        return text

    return _mapped(value, cut)


def _pattern(name: str) -> re.Pattern[str]:
    words = r"\s+".join(map(re.escape, name.split()))
    return re.compile(rf"(?<!\w){words}(?!\w)", re.IGNORECASE)


def _mapped(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {name: _mapped(each, change) for name, each in value.items()}
    if isinstance(value, (list, tuple)):
        return type(value)(_mapped(each, change) for each in value)
    return value
