"""Reading hardware as people write it: "3x M6x20 hex A2", "No.10-32 x 1/2 in", "grommet 10 x 18 x 8". Pure."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from functools import lru_cache

from inventory.hardware.item import RUBBER, Item
from inventory.hardware.rubber import cure_code
from inventory.hardware.threads import thread_in
from inventory.reference.fasteners import Fasteners, fasteners

__all__ = ["items", "parse"]

#: Characters of a text that are read: each thing named is looked at together with those before it.
_LONGEST = 1000
_COUNT = re.compile(
    r"(?P<count>\d{1,3}) ?(?:(?:x|\*|off|pcs\.?|stück|stk\.?)(?: |(?=[a-z#]))(?! ?\d+(?:\.\d+)? ?(?:x|mm))"
    r"|(?= (?!x |un[cf]\b|mm\b|in\b|bs[wf]\b|ba\b)[a-z#]{2}| m\d|(?<=\d) no))",
    re.IGNORECASE,
)
_NUMBER = r"\d{1,3}(?:\.\d{1,2})?"
_SIZES = re.compile(rf"(?<![\d.a-z/-])({_NUMBER}(?: ?(?:mm)? ?x ?{_NUMBER})*) ?(?:mm\b)?(?! ?(?:mm|cm|m)? ?long)")
_INCH_BORE = re.compile(r"(?<![\d/])(\d{1,2})/(\d{1,2})(?!\d) ?(in\b|inch\b|\")?")
_GROOVE = re.compile(rf"\b(?:groove|nut|nute|rille|gorge) ?({_NUMBER}) ?x ?({_NUMBER})(?: ?mm\b)?")
_SLEEVE = re.compile(rf"\b(?:sleeve|hülse|tube) ?(?:{_NUMBER} ?x ?)?({_NUMBER})(?: ?mm\b)?")
_LONG = re.compile(rf"{_NUMBER} ?(?:mm|cm|m) long\b")
_CURED = re.compile(r"\b(?:cured?|cure date|geheizt|vulkanisiert)[: ]*((?:[1-4]/\d{2,4})|\S+)")
_STATE_COUNT = re.compile(r"\b(\d{1,2}|one|two|three|four|all) (?=(?:of them )?[a-z]+\b)")
_COUNTS = {"one": 1, "two": 2, "three": 3, "four": 4}
_FILLERS = re.compile(
    r"[\s,.()+&:;]+|\b(?:and|with|und|mit|x|mm|of|them|the|one|two|three|four|all|thread|class|klasse|grade)\b"
)
_APART = re.compile(r"\s*(?:;|,(?!\d)|\+|&|\band\b|\bwith\b|\bund\b|\bmit\b)\s*", re.IGNORECASE)
_WASHERS = frozenset({"washer", "spring washer", "toothed washer", "nut", "lock nut"})


def items(text: str | None) -> list[Item]:
    """All things that a text names. A washer or nut named with a screw gets its thread and count.

    A remark such as ", 1 lost" makes a second item of the same thing with that state and count.
    """
    found: list[Item] = []
    plain = " ".join((text or "").split())  # a run of thousands of blanks would be searched from each of them
    plain, beyond = plain[:_LONGEST], plain[_LONGEST:]
    for piece in re.split(r"\s*;\s*", plain):
        held: Item | None = None
        for chunk in _APART.split(piece):
            if not chunk.strip():
                continue
            item = parse(chunk)
            if held is not None and not item.understood:
                if item.family in _WASHERS and held.thread:
                    item = replace(item, thread=held.thread, count=item.count or held.count, flags=())
                elif item.state and not item.family:
                    found.append(replace(held, state=item.state, count=item.count or held.count or 1, written=piece))
                    continue
                elif not item.family and found and not item.rest:
                    held = parse(f"{held.written}, {chunk}")
                    found[-1] = held
                    continue
            found.append(item)
            held = item if item.understood and item.family not in _WASHERS else held
    if beyond:
        found.append(Item(beyond, flags=(f"only the first {_LONGEST:,} characters were read",)))
    return found


@lru_cache(maxsize=4096)
def parse(text: str) -> Item:
    """One thing as written. What is not understood is kept, with a flag."""
    data = fasteners()
    written = " ".join(text.split())
    left = _plain(written)
    count = None
    if found := _COUNT.match(left):
        count, left = int(found["count"]), left[found.end() :]
    elif left.partition(" ")[0] in _COUNTS:
        count, left = _COUNTS[left.partition(" ")[0]], left.partition(" ")[2]
    cured, left = _cured(left)
    groove, left = _taken(_GROOVE, left)
    sleeve, left = _taken(_SLEEVE, left)
    _, left = _taken(_LONG, left)
    family, left = _word(data, "family", left)
    state, left, count = _state(data, left, count)
    left = " ".join(left.split())
    thread = None
    if family not in RUBBER and family not in ("hose clip", "clip", "rivet"):
        thread = thread_in(left, data, tapping=family == "sheet-metal screw")
    flags: list[str] = []
    sizes: tuple[float, ...] = ()
    if thread is not None:
        left = left[: thread.span[0]] + " " + left[thread.span[1] :]
        flags += thread.flags
        family = "sheet-metal screw" if thread.is_tapping else family or "screw"
    elif family:
        sizes, left, more = _sizes(family, left)
        flags += more
    (drive, head, finish), left = _words(data, left)
    klass, left = _class(data, left)
    material, left = _material(data, left) if family in RUBBER else ("", left)
    rest = " ".join(_FILLERS.sub(" ", left).split())
    item = Item(
        written,
        count,
        family,
        thread.name if thread else "",
        thread.length if thread else "",
        thread.length_mm if thread else None,
        head,
        drive,
        finish,
        klass,
        sizes,
        groove,
        sleeve[0] if sleeve else None,
        material,
        cured,
        state,
        rest,
    )
    return replace(item, flags=(*flags, *_doubts(item)))


def _doubts(item: Item) -> list[str]:
    """What else is doubtful about an item."""
    if not item.understood:
        return [] if item.state and not item.rest else ["not understood: kept as written, compared with nothing"]
    found = []
    if item.family in ("screw", "stud", "sheet-metal screw") and not item.length:
        found.append("no length given")
    if item.family == "grommet":
        if len(item.sizes) == 3 and not item.sizes[0] < item.sizes[1]:
            found.append("inner is not smaller than outer: read inner x outer x thickness")
        elif len(item.sizes) != 3:
            found.append("give inner x outer x thickness")
        if not item.groove:
            found.append("measure the groove: three numbers do not say whether it fits")
    if item.family.endswith("hose") and len(item.sizes) > 1 and not item.sizes[0] < item.sizes[1]:
        found.append("the bore is not smaller than the outside: read bore x outside")
    if item.rest:
        found.append(f'"{item.rest}" is not understood: only pooled with what says the same')
    return found


def _plain(text: str) -> str:
    """Lower case, one sort of cross, decimal points for commas between digits, fractions as 1/2."""
    plain = re.sub(r"(?<=\d)(?=[\u00bc-\u00be\u2150-\u215e])", " ", text)
    plain = unicodedata.normalize("NFKC", plain).replace("\N{FRACTION SLASH}", "/").casefold()
    plain = re.sub(r"[×✕]", "x", plain).replace("\N{RIGHT DOUBLE QUOTATION MARK}", '"')
    return re.sub(r"(?<=\d),(?=\d)", ".", plain)


def _taken(pattern: re.Pattern[str], text: str) -> tuple[tuple[float, ...], str]:
    """The numbers that a pattern finds, and the text without them."""
    found = pattern.search(text)
    if found is None:
        return (), text
    return tuple(map(float, found.groups())), text[: found.start()] + " " + text[found.end() :]


def _cured(text: str) -> tuple[str, str]:
    found = _CURED.search(text)
    quarter = cure_code(found[1]) if found else ""
    return (quarter, text[: found.start()] + " " + text[found.end() :]) if found and quarter else ("", text)


def _word(data: Fasteners, sort: str, text: str) -> tuple[str, str]:
    """The program's word of one sort that a text has, and the text without it."""
    for spelling, word in data.words[sort].items():
        if spelling in text and (found := re.search(rf"(?<![\w-]){re.escape(spelling)}(?![\w-])", text)):
            return word, text[: found.start()] + " " + text[found.end() :]
    return "", text


def _words(data: Fasteners, text: str) -> tuple[tuple[str, str, str], str]:
    """Drive, head and finish."""
    found: dict[str, str] = {}
    for sort in ("drive", "head", "finish"):
        found[sort], text = _word(data, sort, text)
    if found["drive"] == "hex socket":
        found["head"] = {"cheese": "cap", "pan": "button"}.get(found["head"], found["head"])
    if found["head"] == "cap":
        found["drive"] = found["drive"] or "hex socket"
    return (found["drive"], found["head"], found["finish"]), text


def _state(data: Fasteners, text: str, count: int | None) -> tuple[str, str, int | None]:
    """New, lost or broken; with how many of them, if that is said there."""
    state, left = _word(data, "state", text)
    if state and count is None and (found := _STATE_COUNT.search(text)):
        count = _COUNTS.get(found[1], int(found[1]) if found[1].isdecimal() else 0) or None
        left = _STATE_COUNT.sub(" ", left, count=1) if found[1] in left else left
    return state, left, count


def _class(data: Fasteners, text: str) -> tuple[str, str]:
    """The property class: the last word that is one."""
    found = re.search(r"(?<![\d.x/-])(\d{1,2}\.\d|a[124](?:-\d\d)?)(?![\d.x/])(?! ?x| ?mm)", text)
    known = {each.casefold(): each for each in (*data.steel, *data.stainless)}
    if found is None or found[1] not in known:
        return "", text
    return known[found[1]], text[: found.start()] + " " + text[found.end() :]


def _material(data: Fasteners, text: str) -> tuple[str, str]:
    for group in data.rubber:
        for material in group.materials:
            if found := re.search(rf"\b{re.escape(material)}\b", text):
                shown = material.upper() if len(material) < 5 else material
                return shown, text[: found.start()] + " " + text[found.end() :]
    return "", text


def _sizes(family: str, text: str) -> tuple[tuple[float, ...], str, list[str]]:
    """The sizes of a grommet, hose, washer or clip in mm."""
    if family.endswith("hose") and (found := _INCH_BORE.search(text)):
        bore = round(int(found[1]) / int(found[2]) * 25.4, 1) if int(found[2]) else 0
        flags = [] if found[3] else [f"{found[1]}/{found[2]} was taken as inches"]
        return (bore,) if bore else (), text[: found.start()] + " " + text[found.end() :], flags
    if family.endswith("clip") and (spread := re.search(rf"({_NUMBER}) ?- ?({_NUMBER})(?: ?mm\b)?", text)):
        return (float(spread[1]), float(spread[2])), text[: spread.start()] + " " + text[spread.end() :], []
    found = _SIZES.search(text)
    if found is None:
        return (), text, []
    sizes = tuple(map(float, re.findall(_NUMBER, found[1])))
    most = {"grommet": 3, "o-ring": 2, "washer": 3}.get(family, 2)
    flags = ["more numbers than it has sizes"] if len(sizes) > most else []
    return sizes, text[: found.start()] + " " + text[found.end() :], flags
