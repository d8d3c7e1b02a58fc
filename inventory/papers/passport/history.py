"""The history of a part as it travels: plain values, their JSON, and their fingerprint. Pure.

What is read here comes from elsewhere: anything that is not as this program writes it is refused.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from inventory.errors import Refused
from inventory.given_out.anchors import Anchor, RecordState

__all__ = ["FORMAT", "Enclosed", "Gone", "PartHistory", "ToldFact", "canonical", "history_from"]

FORMAT = "matchmark part history 1"
#: Longer texts, and more facts, are in no workshop's history of a part.
_LONGEST, _MOST = 20_000, 20_000
_ID = re.compile(r"[a-z_]{1,60}-[0-9]{1,9}")
_RECORD = re.compile(r"[0-9a-f]{8,64}")


@dataclass(frozen=True)
class ToldFact:
    """One fact. `record` and `id`: where it was written first, and its id there; `kind`: its table there.

    `on`: when it was so (EDTF), `told` in the words it was told in; `recorded_on`: when it was written down (ISO).
    `by`: who wrote it down, as a role unless names are kept. `source`: what is said of where it comes from. `judged`:
    how a test came out by the reference data of whoever wrote the passport.
    """

    record: str
    id: str
    kind: str
    word: str
    says: str
    values: dict[str, Any]
    on: str
    told: str | None
    recorded_on: str
    by: str
    how_known: str
    source: str | None
    judged: str | None = None

    @property
    def origin(self) -> str:
        """What names the fact in every record."""
        return f"{self.record}/{self.id}"


@dataclass(frozen=True)
class Gone:
    """A fact that no longer counts there. `by`: what replaced it: a corrected fact, or a withdrawal."""

    record: str
    id: str
    by: str
    on: str

    @property
    def origin(self) -> str:
        """What names the fact in every record."""
        return f"{self.record}/{self.id}"


@dataclass(frozen=True)
class Enclosed:
    """A document in the bag. `file`: its name below `data/`, by which facts refer to it.

    `original`: the bytes as they were taken in; else a copy without place, camera, owner and times, `copy_of` those
    bytes (SHA-256).
    """

    file: str
    sha256: str
    size: int
    media_type: str
    shows: str
    on: str
    original: bool
    copy_of: str | None


@dataclass(frozen=True)
class PartHistory:
    """The history of one part, as of the day on which it was written.

    `record`: the identity of the record; `entries` and `anchor`: its log then. `part`: what the part is; `formerly`:
    labels it had. `gone`: what no longer counts. `stays`: how many facts were left out, by what they are about.
    `missing`: what nothing is known of. `unverified`: how many problems the record had, if it was written all the same:
    then it has neither number (0) nor fingerprint nor anchor. `edition`: that of the reference data that judged the
    tests.
    """

    record: str
    entries: int
    anchor: str
    number: int
    written_on: str
    edition: str
    part: dict[str, Any]
    formerly: tuple[str, ...]
    facts: tuple[ToldFact, ...]
    gone: tuple[Gone, ...]
    documents: tuple[Enclosed, ...]
    stays: dict[str, int]
    missing: tuple[str, ...]
    unverified: int = 0

    @property
    def state(self) -> RecordState:
        """How it stands to its record."""
        return RecordState(Anchor(self.anchor, self.entries) if self.anchor else None, self.unverified)

    @property
    def fingerprint(self) -> str:
        """SHA-256 over what it says; its number, its day and the state of the log are not in it."""
        told = self.as_dict()
        for name in ("number", "written_on", "entries", "anchor", "unverified", "fingerprint"):
            told.pop(name, None)
        return hashlib.sha256(canonical(told).encode()).hexdigest()

    def as_dict(self) -> dict[str, Any]:
        """What stands in the JSON, without its fingerprint."""
        return {"format": FORMAT, **asdict(self)}

    def as_json(self) -> str:
        """The JSON of the bag."""
        told = {**self.as_dict(), "fingerprint": None if self.unverified else self.fingerprint}
        return json.dumps(told, ensure_ascii=False, indent=1) + "\n"


def canonical(value: object) -> str:
    """JSON with sorted keys and no blanks."""
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def history_from(text: str) -> PartHistory:
    """The history that a JSON text tells. Raises `Refused` for any other text."""
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        raise _not_one("its JSON cannot be read") from None
    if not isinstance(told, dict) or not str(told.get("format", "")).startswith("matchmark part history "):
        raise _not_one("it holds no part history")
    if told["format"] != FORMAT:
        raise Refused(
            "passport-is-newer", f"This passport is written as {told['format']!a}", hint="install the later matchmark"
        )
    if told.get("unverified"):
        says = "It was written with --unverified, from a record that did not fit its own journal: no passport"
        raise Refused("passport-unverified", says, hint="ask for one that is verified")
    try:
        many = {"facts": ToldFact, "gone": Gone, "documents": Enclosed}
        lists = {name: tuple(_one(each, model) for each in _list(told, name)) for name, model in many.items()}
        texts = {name: tuple(map(_text, _list(told, name))) for name in ("formerly", "missing")}
        plain = {name: _text(told[name]) for name in ("record", "anchor", "written_on", "edition")}
        whole = {name: _whole(told[name]) for name in ("entries", "number")}
        part = {_text(name): _plain(value) for name, value in told["part"].items()}
        stays = {_text(name): _whole(value) for name, value in told["stays"].items()}
        found = PartHistory(**plain, **whole, **lists, **texts, part=part, stays=stays)  # type: ignore[arg-type]
        _check(found)
    except (KeyError, TypeError, ValueError, AttributeError):
        raise _not_one("its JSON is not as matchmark writes it") from None
    if told.get("fingerprint") != found.fingerprint:
        raise _not_one("its fingerprint is not that of what it says")
    return found


def _check(found: PartHistory) -> None:
    told: tuple[ToldFact | Gone, ...] = (*found.facts, *found.gone)
    if len({fact.origin for fact in found.facts}) < len(found.facts):
        raise ValueError("a fact is told twice")
    for each in told:
        if not (_RECORD.fullmatch(each.record) and _ID.fullmatch(each.id)):
            raise ValueError(each.id)
    if not _RECORD.fullmatch(found.record) or not isinstance(found.part["tag"], str):
        raise ValueError(found.record)


def _one(told: Any, model: Any) -> Any:
    """One object, with exactly the fields of its class."""
    read: dict[str, Any] = {}
    for field in fields(model):
        value = told[field.name]
        kind = str(field.type)
        if kind == "str":
            read[field.name] = _text(value)
        elif kind == "str | None":
            read[field.name] = None if value is None else _text(value)
        elif kind == "int":
            read[field.name] = _whole(value)
        elif kind == "bool":
            read[field.name] = bool(value)
        else:
            read[field.name] = {_text(name): _plain(each) for name, each in value.items()}
    return model(**read)


def _list(told: Mapping[str, Any], name: str) -> list[Any]:
    found = told[name]
    if not isinstance(found, list) or len(found) > _MOST:
        raise ValueError(name)
    return found


def _plain(value: Any) -> Any:
    """A text, a whole number, nothing, or what is made of them."""
    if isinstance(value, dict):
        return {_text(name): _plain(each) for name, each in value.items()}
    if isinstance(value, list):
        return [_plain(each) for each in value]
    return value if value is None or isinstance(value, (int, float)) else _text(value)


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > _LONGEST:
        raise TypeError
    value.encode()  # half a character is no text
    return value


def _whole(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value < 1 << 60:
        raise TypeError
    return value


def _not_one(why: str) -> Refused:
    return Refused("not-a-passport", f"This is no passport: {why}", hint="matchmark passport write TAG -o p.zip")
