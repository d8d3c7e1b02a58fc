"""Names that look like misspelt ones: of a typed name and those on record, the near ones. Pure.

Never near are names that differ in a number, in a single letter or in a side (left and right, front and rear, upper
and lower, inner and outer): they are two things. What counts as near is judgement, without a source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, TypeAlias

from inventory.errors import NearName, UnknownName
from inventory.store.words.names import nearest
from inventory.store.words.nothing import name_given
from inventory.store.words.text import fold

__all__ = ["NAMES_MEANT", "NamesMeant", "another_hint", "known_name", "name_on_record", "near_names"]

#: Where a session keeps its `NamesMeant`.
NAMES_MEANT = "names meant"
_SHOWN = 3
#: Reads the names of today by folded names from before; called only for a name that is not on record.
FormerNames: TypeAlias = Callable[[], Mapping[str, str]]
#: Words for sides, in English, German, French and Italian; those of a line mean the same.
_SIDES = (
    r"left|lhs?|link(s|e|er|es|en)|gauches?|sinistr[aoei]|sx",
    r"right|rhs?|recht(s|e|er|es|en)|droite?s?|destr[aoei]|dx",
    r"front|vorne?|vorder(e|er|es|en)?|avant|anterior[ei]|davanti",
    r"rear|back|hinten|hinter(e|er|es|en)?|arriere|posterior[ei]|dietro",
    r"upper|top|oben|ober(e|er|es|en)?|hauts?|hautes?|superieure?s?|superior[ei]|sopra|alto",
    r"lower|bottom|unten|unter(e|er|es|en)?|bas|basses?|inferieure?s?|inferior[ei]|sotto|basso",
    r"inner|innen|inner(e|er|es|en)|interieure?s?|intern[aoei]|interior[ei]",
    r"outer|aussen|ausser(e|er|es|en)|exterieure?s?|estern[aoei]|esterior[ei]",
)
_WORD = re.compile(r"[^\W\d_]+|\d+|[^\w\s,;:.'’\"()/-]")
_LAST_CAPITAL = re.compile(r"(?<=[a-z])(?=[A-Z]\b)")
#: What must be equal: numbers, Roman ones too, single letters and signs.
_MARK = re.compile(r"\d+|[ivx]+|.")


@dataclass
class NamesMeant:
    """What was answered about names that looked misspelt. `new`: every name that is not on record is a new one.

    `said`: by the sort of the name and the name, folded: the name on record that was meant, or "" for a new one.
    """

    new: bool = False
    said: dict[tuple[str, str], str] = field(default_factory=dict)

    def take(self, asked: NearName | UnknownName, answer: str) -> None:
        """Keep an answer: one of the near names, or "" if the name is a new one."""
        self.said[asked.what, fold(asked.name)] = answer


def name_on_record(
    info: Mapping[str, Any], what: str, typed: str, known: Iterable[str], former: FormerNames = dict
) -> str | None:
    """The name on record that a typed one means, None if it means a new one. `info`: that of the session.

    `former`: see `FormerNames`. Raises `NearName` if it may be a misspelt or former one, and nobody has said which.
    """
    every = list(known)
    meant = _meant(info)
    answer = meant.said.get((what, fold(typed)))
    if (exact := _same(typed if answer is None else answer, every, fold)) is not None:
        return exact
    if meant.new or answer == "":
        return None
    if (same := _same(typed, every, _bare)) is not None:
        return same
    if near := _now_and_near(typed, former, near_names(typed, every)):
        raise NearName(what, typed, near)
    return None


def known_name(
    info: Mapping[str, Any],
    what: str,
    typed: str,
    known: Iterable[str],
    to_add: str = "",
    former: FormerNames = dict,
) -> str:
    """The name on record that a typed one means. Raises `UnknownName`: the hint has the near names, else `to_add`.

    `former`: see `FormerNames`.
    """
    every = list(known)
    meant = _meant(info).said.get((what, fold(typed))) or typed
    found = _same(meant, every, fold) or _same(meant, every, _bare)
    if found is None:
        name_given(f"name of the {what}", typed)
        marks = _marks(typed)
        like = [each for each in nearest(typed, every) if not marks or _marks(each) in ([], marks)]
        unknown = UnknownName(what, typed, _now_and_near(typed, former, near_names(typed, every) or like))
        unknown.hint = unknown.hint or to_add or None
        raise unknown
    return found


def _now_and_near(typed: str, former: FormerNames, near: list[str]) -> list[str]:
    """The names that may be meant: first the one of today, if the typed one is from before."""
    now = former().get(fold(typed))
    return near if now is None else list(dict.fromkeys([now, *near]))


def _same(typed: str, known: list[str], compared: Callable[[str], str]) -> str | None:
    wanted = compared(typed)
    return next((each for each in known if wanted and compared(each) == wanted), None)


def _meant(info: Mapping[str, Any]) -> NamesMeant:
    found: NamesMeant | None = info.get(NAMES_MEANT)
    return found if found is not None else NamesMeant()


def another_hint(typed: str, known: str) -> str | None:
    """What to do where a new name is the same as a known one but for accents; None if it is the same name."""
    return None if fold(typed) == fold(known) else "if it is another one, repeat the command with --new"


def near_names(name: str, known: Iterable[str]) -> list[str]:
    """The known names that a typed one may be a misspelling of, nearest first, at most three."""
    if not (every := list(known)):
        return []
    from rapidfuzz import process  # about 15 ms, needed only when a name is new
    from rapidfuzz.distance import OSA

    words = _words(name)
    joined, in_order = map(_joined, every), sorted(words)
    places = process.extract(_joined(name), joined, scorer=OSA.distance, score_cutoff=2, limit=None)  # type: ignore[arg-type]
    close = {every[place] for _, _, place in places} | {each for each in every if sorted(_words(each)) == in_order}
    far = ((_distance(words, _words(each)), each) for each in close)
    return [each for _, each in sorted((away, each) for away, each in far if away is not None)][:_SHOWN]


def _distance(one: tuple[str, ...], other: tuple[str, ...]) -> int | None:
    """How many slips of the hand are between two names, as words; None if they are two names."""
    if not one or not other:
        return None
    if sorted(one) == sorted(other):
        return 0
    if len(one) == len(other):
        slips = [_slips(*pair) for pair in zip(one, other, strict=True)]
        away = sum(each for each in slips if each is not None)
        return away if None not in slips and away <= _slips_allowed("".join(one), "".join(other)) else None
    if sorted(filter(_must_be_equal, one)) != sorted(filter(_must_be_equal, other)):
        return None
    return _slips("".join(one), "".join(other))


def _slips(one: str, other: str) -> int | None:
    """How many slips are between two words, None if too many for their length or if they mean two things."""
    if one == other or (_side(one) is not None and _side(one) == _side(other)):
        return 0
    if None not in (_side(one), _side(other)) or _MARK.fullmatch(one) or _MARK.fullmatch(other):
        return None
    from rapidfuzz.distance import OSA

    away = OSA.distance(one, other)
    return away if away <= _slips_allowed(one, other) else None


def _slips_allowed(one: str, other: str) -> int:
    """None in two letters, one in three to five, two in more."""
    shorter = min(len(one), len(other))
    return (shorter > 2) + (shorter > 5)


def _must_be_equal(word: str) -> bool:
    return _side(word) is not None or _MARK.fullmatch(word) is not None


@lru_cache(maxsize=8192)
def _side(word: str) -> int | None:
    return next((place for place, each in enumerate(_SIDES) if re.fullmatch(each, word)), None)


def _marks(name: str) -> list[str]:
    return sorted(filter(_must_be_equal, _words(name)))


def _bare(name: str) -> str:
    return "".join(sign for sign in unicodedata.normalize("NFKD", fold(name)) if not unicodedata.combining(sign))


@lru_cache(maxsize=8192)
def _joined(name: str) -> str:
    return "".join(_words(name))


@lru_cache(maxsize=8192)
def _words(name: str) -> tuple[str, ...]:
    """The words of a name, without accents; numbers, and single letters behind a word, stand by themselves."""
    apart = unicodedata.normalize("NFKD", _LAST_CAPITAL.sub(" ", name))
    return tuple(_WORD.findall("".join(sign for sign in apart if not unicodedata.combining(sign)).casefold()))
