"""Made-up input from good examples: a few changes at random places, or none of the example left. Seeded, so repeatable."""

from __future__ import annotations

import copy
import io
import json
import random
import zipfile
from collections.abc import Callable, Mapping
from typing import Any

__all__ = ["LONGEST", "as_json", "changed_bytes", "changed_json", "changed_text", "changed_zip"]

#: The most characters of a made-up text. A command line takes some 130,000 in one word.
LONGEST = 100_000

_SIGNS = [
    *"0123456789-+.,/x×=;:#%()[]{}\"'\\ \t\n\r*?~_|<>",
    *("²½µΩ°′″٣Ⅷ߀𝟗", "\x00", "\x1b[31m", "\u202e", "\u2028", "\ufeff", "\u0345", "\ud800", "\udcff", "İ", "ß", "e\u0301"),
    *("1e999", "-0", "nan", "inf", "9" * 40, "0" * 400, "1e-999", "10**9", "M", "No.", "mm", "in", "2026-02-30", "/..", "0x1F"),
]  # fmt: skip
_VALUES: list[Any] = [
    None, True, False, 0, -1, 1 << 70, 1e308, float("nan"), float("inf"), "", "x" * 3000, "\ud800", "\x1b[2J", [], {}, [[]],
    "2026-02-30", "note-1", "../../x", {"a": {"b": {"c": []}}}, ["a"] * 50,
]  # fmt: skip


def changed_text(chance: random.Random, examples: list[str], longest: int = LONGEST) -> str:
    """A text near one of the examples, or spliced of two; now and then a piece of it many times over."""
    text = chance.choice(examples)
    for _ in range(chance.choice([1, 1, 2, 3, 8])):
        at, to = sorted(chance.choices(range(len(text) + 1), k=2))
        match chance.randrange(7):
            case 0:
                text = text[:at] + text[to:]
            case 1 | 2:
                text = text[:at] + chance.choice(_SIGNS) + text[at:]
            case 3:
                text = (
                    text[:at] + chr(chance.choice([chance.randrange(128), chance.randrange(0xD800)])) + text[at + 1 :]
                )
            case 4:
                other = chance.choice(examples)
                text = text[:at] + other[chance.randrange(len(other) + 1) :]
            case 5:
                text = text[:at] + chance.choice(_SIGNS) * chance.choice([2, 30, 300]) + text[at:]
            case 6:
                piece = text[at : at + chance.choice([1, 1, 3, 20])]
                many = chance.choice([2, 3, 50, longest]) if chance.random() < 0.2 else 2
                text = (text[:at] + piece * (min(many, longest // max(len(piece), 1))) + text[at:])[:longest]
    return text


def changed_bytes(chance: random.Random, held: bytes) -> bytes:
    """Bytes with a few changed, cut out, doubled or cut off."""
    made = bytearray(held)
    for _ in range(chance.choice([1, 1, 2, 5, 20])):
        at = chance.randrange(len(made) + 1)
        match chance.randrange(6):
            case 0:
                made[at : at + 1] = bytes([chance.randrange(256)])
            case 1:
                del made[at : at + chance.choice([1, 2, 8, 200])]
            case 2:
                made[at:at] = chance.choice([b"\x00", b"\xff" * 4, b"\xff\xff\xff\x7f", chance.randbytes(3)])
            case 3:
                made[at:at] = made[at : at + chance.choice([4, 50, 500])]
            case 4 if made:
                made[at - 1] ^= 1 << chance.randrange(8)
            case _ if chance.random() < 0.2:
                del made[at:]
    return bytes(made)


def changed_json(chance: random.Random, value: Any) -> Any:
    """A JSON value of which a few places are changed, taken out, doubled or laid deeper."""
    made = copy.deepcopy(value)
    for _ in range(chance.choice([1, 1, 2, 4])):
        _change_one(chance, made)
    return made


def _change_one(chance: random.Random, value: Any) -> None:
    """Change one place below a dict or list, chosen by walking down."""
    while isinstance(value, (dict, list)) and value:
        key = chance.choice(list(value) if isinstance(value, dict) else range(len(value)))
        below = value[key]
        if isinstance(below, (dict, list)) and below and chance.random() < 0.8:
            value = below
            continue
        match chance.randrange(6):
            case 0:
                del value[key]
            case 1 if isinstance(value, list):
                value.append(copy.deepcopy(below))
            case 1 | 2 if isinstance(value, dict):
                value[changed_text(chance, [str(key)], 200)] = below
            case 3:
                for _ in range(chance.choice([1, 5, 200])):
                    below = [below] if chance.random() < 0.5 else {"a": below}
                value[key] = below
            case 4 if isinstance(below, str):
                value[key] = changed_text(chance, [below], 5000)
            case _:
                value[key] = copy.deepcopy(chance.choice(_VALUES))
        return


def changed_zip(chance: random.Random, files: Mapping[str, bytes], change: Callable[[str, bytes], bytes]) -> bytes:
    """A zip of these files, one of them changed by `change` (name, bytes), or its name; or the zip itself changed."""
    held = dict(files)
    name = chance.choice(list(held))
    if (what := chance.random()) < 0.6:
        held[name] = change(name, held[name])
    elif what < 0.7:
        held[changed_text(chance, [name], 300).encode("utf-8", "replace").decode().replace("\0", "") or "x"] = held.pop(
            name
        )
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for each, content in held.items():
            archive.writestr(each, content)
    return changed_bytes(chance, made.getvalue()) if what > 0.7 else made.getvalue()


def as_json(chance: random.Random, value: Any) -> str:
    """JSON text of a made-up value: half characters stay, and nan is written as Python reads it. Now and then too deep."""
    text = json.dumps(value)
    return text.replace('""', "[" * 5000 + "]" * 5000, 1) if chance.random() < 0.03 else text
