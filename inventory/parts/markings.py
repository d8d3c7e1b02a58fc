"""What was read on a part, checked and cleaned."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from inventory.errors import Refused
from inventory.parts.judgements import NOT_LOOKED_AT, Identity
from inventory.reference.data import Reference
from inventory.store.words.names import one_of
from inventory.store.words.nothing import is_no_name, nothing_in, set_aside, what_is_meant
from inventory.store.words.text import clean, short_enough

__all__ = [
    "CODE_STATES",
    "READ_FROM",
    "SERIAL_STATES",
    "Markings",
    "checked",
    "kept_letter",
    "seen_state",
    "words_set_aside",
]

CODE_STATES = ("read", "unreadable", "label gone", "never fitted", NOT_LOOKED_AT)
#: Why no serial is there.
SERIAL_STATES = ("not legible", "none on it", NOT_LOOKED_AT)
#: What is left empty if a word for nothing stands in it.
_NAMES = ("maker", "part_number", "serial", "date_code")
#: Where a match code was read, if not on the part itself. Of these, only a dated picture counts as read.
READ_FROM = ("paperwork", "seller", "passport", "picture", "dated picture")


@dataclass(frozen=True)
class Markings(Identity):
    """What a part is and what is marked on it; None: not given."""

    extra: dict[str, str] | None = None

    def columns(self) -> dict[str, Any]:
        """The values as the columns of `marking` hold them."""
        values = dict(vars(self))
        if self.extra is not None:
            values["extra"] = json.dumps(self.extra, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
        return values


def checked(given: Markings, reference: Reference) -> Markings:
    """The markings, cleaned. Raises `Refused` for an unknown kind, state or origin, or a code that cannot be.

    A word for nothing ("unknown", "none", "ditto") is no value, and no code: `words_set_aside` says what became of it.
    """
    values: dict[str, Any] = {name: _text(getattr(given, name)) for name in vars(given) if name != "extra"}
    extra = {clean(key): clean(value) for key, value in given.extra.items() if clean(value)} if given.extra else None
    for name in ("part_number", "serial"):
        short_enough(name.replace("_", " "), values[name] or "")
    if values["kind"]:
        values["kind"] = reference.kind(values["kind"]).name
    for name in _NAMES:
        if is_no_name(values[name] or ""):
            values[name] = None
    code, state = values["match_code"], values["match_code_state"]
    if code and nothing_in(code) not in (None, "doubtful"):
        code, meant = what_is_meant(code)
        state = values["match_code_state"] = meant if state in (None, "read") else state
        values["match_code"] = None
    if code and state not in (None, "read"):
        raise Refused(
            "code-and-state",
            f'The code cannot be "{code}" and {state} at the same time',
            where="match code",
        )
    if code:
        values["match_code_state"] = "read"
    elif state == "read":
        raise Refused("code-missing", "Give the letter or figure of the code that was read", where="match code")
    one_of("match code state", values["match_code_state"], CODE_STATES)
    one_of("serial state", values["serial_state"], SERIAL_STATES)
    if values["serial"]:
        values["serial_state"] = None
    if values["match_code_read_from"] in ("part", "the part", "the part itself"):
        values["match_code_read_from"] = None
    one_of("origin of a match code", values["match_code_read_from"], READ_FROM, "source of a code")
    return replace(Markings(**values), extra=extra)


def seen_state(part: Any) -> str | None:
    """The state of a part's letter on record, None if nobody looked: without a part, and where only others tell it."""
    told = part is None or part.match_code_read_from not in (None, "dated picture")
    return None if told or part.match_code_state == NOT_LOOKED_AT else str(part.match_code_state or "") or None


def kept_letter(read: Markings, seen: str | None) -> Markings:
    """What was read, without "not looked at" if somebody has looked (`seen_state`): it is no look."""
    return replace(read, match_code_state=None) if seen and read.match_code_state == NOT_LOOKED_AT else read


def words_set_aside(given: Markings, seen: str | None = None) -> tuple[str, ...]:
    """A sentence for each word that says nothing where a code, a serial, a number or a maker should stand.

    `seen`: the `seen_state` of the part before.
    """
    if seen and given.match_code_state == NOT_LOOKED_AT:
        return ("match code: not looked at is no look, so what is on record stays", *words_set_aside(given))
    values = ((name, _text(getattr(given, name))) for name in ("match_code", *_NAMES))
    said = (set_aside(name.replace("_", " "), text) for name, text in values if text)
    return tuple(sentence for sentence in said if sentence)


def _text(value: str | None) -> str | None:
    return (clean(value) or None) if value is not None else None
