"""Why a search found a part: which of its values each word is in; and numbers that replaced each other.

SQL text, as in `load_lines`: one statement for all rows of a page.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.store.connection.readonly import Source, among, fetch_all
from inventory.store.words.text import fold, squeeze

if TYPE_CHECKING:
    from inventory.parts.load_lines import PartLine

__all__ = ["FACTS_SEARCHED", "Why", "beside", "linked_numbers", "reasons"]

#: What is searched of facts, and what a list calls it. A test holds it to the declarations.
FACTS_SEARCHED = {
    "removal": {
        "bag": "bag",
        "fasteners": "screws",
        "mounts": "mounts",
        "connections": "plugs",
        "broken": "broken",
        "car_side": "car side",
        "route": "route",
        "bore": "bore",
        "low_spots": "low spots",
        "at_port": "at port",
        "moved": "moved",
    },
    "fitting": {"fasteners": "fitted with", "car_side": "car side", "override": "against advice"},
    "labelling": {"was": "former label"},
    "own_number": {"number": "own number"},
    "unread_cell": {"text": "not read"},
    "note": {"text": "note"},
    "assessment": {"damage": "damage", "missing": "missing"},
    "object_description": {"features": "features"},
    "passport_read": {"their_tag": "label elsewhere"},
    "mishap": {"mishap": "mishap", "text": "mishap"},
    "work": {"what": "work", "product": "product", "batch": "batch", "done_by": "done by", "taken_off": "taken off"},
}
#: What short words find as a whole.
_WHOLE = ("code", "seals", "condition", "place", "bag")
_LINE = {
    "label": "tag",
    "kind": "kind",
    "number": "part_number",
    "code": "match_code",
    "seals": "seal_state",
    "serial": "serial",
    "maker": "maker",
    "date code": "date_code",
    "position": "position",
    "car": "car",
    "place": "place",
    "bag": "bag",
    "marks": "marks",
    "condition": "condition",
    "whose": "whose",
}


@dataclass(frozen=True)
class Why:
    """A word of a search, and where it was found: `label` names the value, `text` is the value."""

    word: str
    label: str
    text: str

    @property
    def says(self) -> str:
        """The value with its name."""
        return f"{self.label} {self.text}"


def reasons(source: Source, words: Sequence[str], lines: Sequence[PartLine]) -> dict[int, tuple[Why, ...]]:
    """For each part by key, where each word was found. A word found nowhere is of a number that theirs replaced."""
    wanted = [word for word in words if fold(word)]
    if not wanted:
        return {}
    found: dict[int, tuple[Why, ...]] = {}
    unclear: list[PartLine] = []
    for line in lines:
        found[line.id] = _whys(wanted, line)
        if len(found[line.id]) < len(wanted):
            unclear.append(line)
    for start in range(0, len(unclear), _CHUNK):
        some = unclear[start : start + _CHUNK]
        of_facts = _texts(source, [line.id for line in some])
        found |= {line.id: _whys(wanted, line, of_facts.get(line.id, ())) for line in some}
    linked = linked_numbers(source, words)
    for line in unclear:
        if len(found[line.id]) < len(wanted) and (number := squeeze(line.part_number or "")) in linked:
            found[line.id] = (Why(" ".join(wanted), linked[number], " ".join(wanted)),)
    return found


_CHUNK = 500


def _whys(words: Sequence[str], line: PartLine, of_facts: Sequence[tuple[str, str]] = ()) -> tuple[Why, ...]:
    texts = [(label, getattr(line, name)) for label, name in _LINE.items()]
    texts += [*line.extra.items(), *of_facts]
    return tuple(why for word in words if (why := _why(word, texts)) is not None)


def beside(whys: Sequence[Why], shown: Collection[str]) -> str:
    """What of the reasons a line does not show anyway, each once; `shown`: the labels of what it shows."""
    return "; ".join(dict.fromkeys(why.says for why in whys if why.label not in shown))


def _why(word: str, texts: Iterable[tuple[str, str | None]]) -> Why | None:
    folded = fold(word)
    for label, text in texts:
        if not text:
            continue
        held = fold(text)
        if len(folded) < 3:
            here = held == folded and label in _WHOLE
        else:
            here = folded in held or (label == "bag" and folded in f"bag{held}")
        if here:
            return Why(word, label, text)
    return None


def _texts(source: Source, keys: Sequence[int]) -> Mapping[int, list[tuple[str, str]]]:
    """What the facts of some parts say in the columns that are searched, newest first, in one statement."""
    if not keys:
        return {}
    places, parameters = among(keys)
    chosen = [
        f"SELECT thing_id, '{label}', {column}, counts_from, ranked FROM {table} "  # noqa: S608
        f"WHERE superseded_by IS NULL AND {column} IS NOT NULL AND thing_id IN ({places})"
        for table, columns in FACTS_SEARCHED.items()
        for column, label in columns.items()
    ]
    found: dict[int, list[tuple[str, str]]] = defaultdict(list)
    rows = fetch_all(source, " UNION ALL ".join(chosen), parameters)
    for key, label, text, _, _ in sorted(rows, key=lambda row: (row[3], row[4]), reverse=True):
        found[key].append((label, text))
    return found


def linked_numbers(source: Source, words: Sequence[str]) -> dict[str, str]:
    """The numbers that replaced the one typed, or that it replaced, squeezed; each with "replaces" or "replaced by"."""
    typed = squeeze("".join(words))
    if len(typed) < 2 or not fetch_all(source, "SELECT 1 FROM part_number WHERE squeezed = :typed", {"typed": typed}):
        return {}
    steps = fetch_all(
        source,
        "SELECT old.squeezed, new.squeezed FROM supersession AS fact JOIN part_number AS old ON old.id = fact.thing_id "
        "JOIN part_number AS new ON new.id = fact.by_number_id WHERE fact.superseded_by IS NULL",
    )
    found: dict[str, str] = {}
    for says, step in (("replaces", 0), ("replaced by", 1)):
        ahead = [typed]
        while ahead:
            here = ahead.pop()
            for pair in steps:
                further = pair[1 - step]
                if pair[step] == here and further not in found and further != typed:
                    found[further] = says
                    ahead.append(further)
    return found
