"""What stands in an entry of the journal, by its form: which fields its hash is over, and how rows stand in it.

Form 1 (`form` null) holds all columns of every row: [[table, key, {column: value}], ...].

Form 2 holds {"day": day, "made": [[table, key, {...}], ...], "changed": [[table, key, {...}], ...]}. `day` is the day
of the act in the record's own zone. `made` are new rows: what is empty is left out, and so is what `_implied` gives.
`changed` are rows that were there: their changed columns only. Empty lists are left out.

A later form is added here beside these; what an old entry says must be read for good.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import orjson

__all__ = [
    "FORM",
    "Written",
    "canonical",
    "entry_hash",
    "facts_made",
    "images_of",
    "images_with",
    "read_images",
]

#: The form in which entries are written.
FORM = 2
_FIELDS = ("thing_id", "sequence", "at", "who_id", "act", "act_key", "images", "previous")
#: The fields that an entry's hash is over, by its form.
_HASHED: dict[int | None, tuple[str, ...]] = {None: _FIELDS, FORM: (*_FIELDS, "form")}

#: One row in an entry: table, key, and the columns that are said.
Image = tuple[str, int, dict[str, Any]]


class Written(NamedTuple):
    """What an entry says: rows as they were made, all columns that are not empty; and what changed in rows."""

    made: list[Image]
    changed: list[Image]


def canonical(value: object) -> str:
    """Canonical JSON of texts, whole numbers and what is made of them: sorted keys, no blanks, text as it is."""
    try:
        return orjson.dumps(value, option=orjson.OPT_SORT_KEYS).decode()
    except TypeError:  # half characters and large numbers, which json writes in the same way
        return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def entry_hash(entry: Mapping[str, Any]) -> str:
    """SHA-256 over the fields of an entry that its form names. Raises ValueError for a form that is none."""
    fields = _HASHED.get(entry["form"])
    if fields is None:
        raise ValueError(f"no form {entry['form']}")
    return hashlib.sha256(canonical({name: entry[name] for name in fields}).encode()).hexdigest()


def images_of(entry: Mapping[str, Any], day: str, made: Iterable[Image], changed: Sequence[Image]) -> str:
    """The images of a new entry. `made`: all columns of each row; `entry`: its other fields."""
    said: dict[str, Any] = {"day": day}
    if lean := [(table, key, _lean(entry, day, key, row)) for table, key, row in made]:
        said["made"] = lean
    if changed:
        said["changed"] = changed
    return canonical(said)


def _lean(entry: Mapping[str, Any], day: str, key: int, row: Mapping[str, Any]) -> dict[str, Any]:
    lean = dict(row)
    for name, value in _implied(entry, day, key, row).items():
        if lean.get(name) == value:
            del lean[name]
    return {name: value for name, value in lean.items() if value is not None}


def _implied(entry: Mapping[str, Any], day: str, key: int, row: Mapping[str, Any]) -> dict[str, Any]:
    """What a new row holds where its image does not say otherwise: the one place for writing and reading.

    Facts are known by `how_known`, which is never empty. None of these columns is ever empty in a fact.
    """
    if "how_known" not in row:
        return {"id": key}
    recorded = row.get("recorded", entry["at"])
    recorded_on = row.get("recorded_on", day)
    so_from = row.get("so_from", day)
    latest = row.get("latest", so_from)
    return {
        "id": key,
        "thing_id": entry["thing_id"],
        "by_id": entry["who_id"],
        "recorded": entry["at"],
        "recorded_on": day,
        "ranked": recorded,
        "so_from": day,
        "earliest": so_from,
        "latest": so_from,
        "counts_from": min(latest, recorded_on),
    }


def read_images(entry: Mapping[str, Any]) -> Written:
    """What an entry says. Raises TypeError, ValueError or KeyError where it cannot be read.

    In form 1 each row stands with all its columns, whether it was made or changed: all are given as made.
    """
    said = _parsed(entry["images"])
    if entry["form"] is None:
        return Written([(table, key, dict(image)) for table, key, image in said], [])
    if entry["form"] != FORM:
        raise ValueError(f"no form {entry['form']}")
    day = said["day"]
    made = [(table, key, _implied(entry, day, key, image) | image) for table, key, image in said.get("made", ())]
    return Written(made, [(table, key, dict(image)) for table, key, image in said.get("changed", ())])


def images_with(
    entry: Mapping[str, Any], changed: Callable[[str, int, str, str], str]
) -> tuple[str, list[tuple[str, int, str]]]:
    """The images of an entry with other texts, and of which rows (table, key) which columns became others.

    `changed` gives the text for a table, key, column and the text that stands there. Raises as `read_images` does.
    """
    said = _parsed(entry["images"])
    rows = said if entry["form"] is None else [*said.get("made", ()), *said.get("changed", ())]
    found = []
    for table, key, image in rows:
        for column, text in image.items():
            if isinstance(text, str) and (anew := changed(table, key, column, text)) != text:
                image[column] = anew
                found.append((table, key, column))
    return canonical(said), found


def facts_made(images: str, at: str, form: int | None) -> list[tuple[str, int]]:
    """Table and key of each fact that an entry of this moment made, perhaps with rows of things.

    In form 1 facts stand that were there before, too: they say that they were recorded earlier. Raises as
    `read_images` does.
    """
    if form not in (None, FORM):
        raise ValueError(f"no form {form}")
    said = _parsed(images)
    made, unsaid = (said, None) if form is None else (said.get("made", ()), at)
    return [(table, key) for table, key, image in made if image.get("recorded", unsaid) == at]


def _parsed(text: str) -> Any:
    try:
        return orjson.loads(text)
    except orjson.JSONDecodeError:  # half characters and large numbers
        return json.loads(text)
