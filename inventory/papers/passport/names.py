"""Texts that name people, in what leaves the house: found and cut as on a list for an insurer. Pure."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inventory.condition_list.roles import People

__all__ = ["naming", "without_names"]


def naming(value: Any, people: People) -> list[str]:
    """The texts in a value that name somebody."""
    texts: list[str] = []

    def keep(text: str) -> str:
        texts.append(text)
        return text

    _mapped(value, keep)
    return [text for text in dict.fromkeys(texts) if people.cut(text) != text]


def without_names(value: Any, people: People) -> Any:
    """The same with roles instead of names and addresses."""
    return _mapped(value, people.cut)


def _mapped(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {name: _mapped(each, change) for name, each in value.items()}
    if isinstance(value, (list, tuple)):
        return type(value)(_mapped(each, change) for each in value)
    return value
