"""Makes a list fit to leave the house for an insurer: roles instead of people's names, premises but no shelf. Pure.

Whoever is named as the source of a finding gets a role. A text of the workshop (a note, a source, a reason) that holds
somebody's whole name or address is cut or kept as its reader is asked; it is compared by whole words, in any case,
with accents or without, also with the family name first, in the name of a file, and where a line's end parts a word.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

from inventory.condition_list.item_values import Where
from inventory.condition_list.list_values import Front, Options

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList

__all__ = ["Named", "People", "digest_of", "for_insurer"]

#: Accents as signs of their own, and what shows nothing: soft hyphens, joiners, marks of direction.
_UNSEEN = "\u0300-\u036f\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff"
_WORD = re.compile(rf"[^\W_](?:[^\W_]|[{_UNSEEN}])*")
#: The same; one that the end of a line parts is one.
_PARTED_WORD = re.compile(rf"[^\W_](?:[^\W_]|[{_UNSEEN}]|[-\u2010]\s*\n\s*(?=[^\W_]))*")
_TO_LEAVE_OUT = re.compile(rf"[{_UNSEEN}\s\-\u2010]")
#: Letters that are also written as two.
_AS_TWO = {"ä": "ae", "ö": "oe", "ü": "ue", "ø": "oe", "å": "aa"}
#: Writing without blanks between words begins about here (CJK radicals); names in it are looked for anywhere.
_NO_BLANKS = re.compile("[\u2e80-\uffff]")
#: Texts of these fields are words of the program, numbers or days, or the maker's own.
_NO_TEXTS = (
    *("amount", "basis", "car_id", "currency", "date_code", "digest16", "document", "earliest", "fact", "happened"),
    *("from_currency", "heading", "how_known", "id", "kind", "latest", "maker", "manner", "match_code", "number", "on"),
    *("match_code_state", "part_number", "procedure", "recorded_on", "seal", "serial", "serial_state", "so_on", "sort"),
    *("stale_by", "standing", "state", "tag", "tax", "to_currency", "trend", "verdict", "whose", "with_tag"),
)
_LEAST_SIGNS = 3
_WALKED: dict[Any, tuple[str, ...]] = {}


@dataclass(frozen=True)
class Named:
    """A text on the list that names somebody: as written, as it is if the name is cut, and where it first stands."""

    text: str
    cut: str
    item: int | None
    tag: str
    column: str

    def as_dict(self) -> dict[str, Any]:
        """Where it stands; in JSON."""
        return {"item": self.item, "tag": self.tag, "column": self.column, "text": self.text}


@dataclass(frozen=True)
class People:
    """The people on record: their roles by name, and the further texts (addresses) that point to them, with roles.

    `public`: those whom the list names on its front; they are not looked for in texts.
    """

    roles: Mapping[str, str]
    addresses: Mapping[str, str]
    public: frozenset[str] = frozenset()

    @cached_property
    def _by_first_word(self) -> dict[str, list[tuple[list[str], str]]]:
        found: dict[str, list[tuple[list[str], str]]] = defaultdict(list)
        for text, role in (*self.roles.items(), *self.addresses.items()):
            words = _WORD.findall(text)
            if sum(map(len, words)) < _LEAST_SIGNS or text in self.public:
                continue
            for written in _ways_to_write(words) if text in self.roles else [[_folded(word) for word in words]]:
                found[written[0]].append((written, role))
        for every in found.values():
            every.sort(key=lambda each: -len(each[0]))
        return dict(found)

    @cached_property
    def _without_blanks(self) -> list[tuple[str, str]]:
        return [
            (name, role) for name, role in self.roles.items() if _NO_BLANKS.search(name) and name not in self.public
        ]

    def cut(self, text: str) -> str:
        """The text with roles in the place of names and addresses; the same text if it has none."""
        said = self._cut(text, _WORD)
        said = self._cut(said, _PARTED_WORD) if "\n" in said else said
        for name, role in self._without_blanks if _NO_BLANKS.search(said) else ():
            said = said.replace(name, role)
        return said

    def named(self, text: str) -> list[str]:
        """What names somebody in a text, as it is written there, each once."""
        found = [text[start:end] for start, end, _ in self._spans(text, _WORD)]
        found += [text[start:end] for start, end, _ in self._spans(text, _PARTED_WORD)] if "\n" in text else []
        found += [name for name, _ in self._without_blanks if name in text]
        return list(dict.fromkeys(found))

    def _cut(self, text: str, word: re.Pattern[str]) -> str:
        pieces, done = [], 0
        for start, end, role in self._spans(text, word):
            pieces += [text[done:start], role]
            done = end
        return "".join([*pieces, text[done:]])

    def _spans(self, text: str, word: re.Pattern[str]) -> Iterator[tuple[int, int, str]]:
        """Where names stand in a text, from and to, each with its role."""
        spans = [(found.span(), _folded(found[0])) for found in word.finditer(text)]
        at = 0
        while at < len(spans):
            for words, role in self._by_first_word.get(spans[at][1], ()):
                if [each for _, each in spans[at : at + len(words)]] == words:
                    yield spans[at][0][0], spans[at + len(words) - 1][0][1], role
                    at += len(words)
                    break
            else:
                at += 1


def digest_of(text: str) -> str:
    """The first 16 digits of the SHA-256 of a text that stays although it names somebody."""
    return hashlib.sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:16]


def for_insurer(drawn: ConditionList, people: People, names: str, kept: Sequence[str] = ()) -> ConditionList:
    """The list for an insurer. `names`: keep, cut; `kept`: the digests of texts that stay as written all the same.

    `named` of the new list has what names somebody, each text once.
    """
    walk = _Walk(people, names, frozenset(kept))
    parts = ("items", "gaps", "premises", "evidence", "later", "left_out", "largest_loss")
    changed = {name: walk.value(name, getattr(drawn, name)) for name in parts}
    if drawn.changes is not None:
        changed["changes"] = walk.value("changes", drawn.changes)
    found = tuple(walk.found.values())
    stay = tuple(sorted(digest_of(each.text) for each in found if walk.stays(each.text)))
    said = "as written" if not found else "keep" if len(stay) == len(found) else "cut"
    options = Options("insurer", said, drawn.basis, drawn.options.currency, stay if said == "cut" else ())
    return replace(drawn, **changed, options=options, named=found)


class _Walk:
    """Goes through the values of a list; what is unchanged stays the same object."""

    def __init__(self, people: People, names: str, kept: frozenset[str]) -> None:
        self.people, self.names, self.kept = people, names, kept
        self.found: dict[str, Named] = {}
        self._texts: dict[str, str] = {}
        self._item: tuple[int | None, str] = (None, "")

    def stays(self, text: str) -> bool:
        return self.names == "keep" or digest_of(text) in self.kept

    def value(self, name: str, value: Any) -> Any:
        if isinstance(value, str):
            return self.text(name, value)
        if isinstance(value, tuple):
            made = tuple([self.value(name, each) for each in value])
            return value if all(new is old for new, old in zip(made, value, strict=True)) else made
        if isinstance(value, dict):
            return {key: self.value(name, each) for key, each in value.items()}
        if is_dataclass(value) and not isinstance(value, Front):
            return self.fields(value)
        return value

    def fields(self, value: Any) -> Any:
        if hasattr(value, "tag") and hasattr(value, "number"):
            self._item = value.number, value.tag
        elif hasattr(value, "tag") and hasattr(value, "item"):
            self._item = value.item, value.tag
        changed = {}
        for name in _walked(type(value)):
            held = getattr(value, name)
            if held is None or held == ():
                continue
            made = self.people.roles.get(held, held) if name == "by" else self.value(name, held)
            if made is not held:
                changed[name] = made
        if isinstance(value, Where) and value.place is not None:
            changed["place"] = None
        return replace(value, **changed) if changed else value

    def text(self, name: str, text: str) -> str:
        made = self._texts.get(text)
        if made is None:
            made = cut = self.people.cut(text)
            if cut != text:
                self.found[text] = Named(text, cut, *self._item, name.replace("_", " "))
                made = text if self.stays(text) else cut
            if made == text:
                made = text
            self._texts[text] = made
        return text if made == text else made


def _walked(model: Any) -> tuple[str, ...]:
    """The fields of a class of values that can hold a text of somebody's, or values that have some."""
    if model not in _WALKED:
        told = [each for each in fields(model) if str(each.type) not in ("int", "bool", "int | None")]
        _WALKED[model] = tuple(each.name for each in told if each.name not in _NO_TEXTS)
    return _WALKED[model]


@lru_cache(maxsize=8192)
def _folded(word: str) -> str:
    return _TO_LEAVE_OUT.sub("", unicodedata.normalize("NFKD", word.casefold()).replace("ø", "o"))


def _ways_to_write(name: Sequence[str]) -> list[list[str]]:
    """A name as texts have it, folded: with letters as one or two, as whose something is, and the family name first."""
    plain = [unicodedata.normalize("NFC", word.casefold()) for word in name]
    spellings = [name, ["".join(_AS_TWO.get(sign, sign) for sign in word) for word in plain]]
    if len(name) > 1:
        spellings.append([re.sub("(?<=[aou])e|(?<=a)a", "", word) for word in plain])
    found = []
    for words in ([_folded(word) for word in spelling] for spelling in spellings):
        found.append(words)
        if len(words) > 1:
            found += [[*words[:-1], f"{words[-1]}s"], [words[-1], *words[:-1]]]
    return [list(words) for words in dict.fromkeys(map(tuple, found))]
