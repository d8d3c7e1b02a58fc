"""The questions about one part as it comes off a car or comes in: what is offered, what is always asked. Pure.

An accepted offer is recorded as "from the position's list, looked at", never as a reading. Seal, condition,
serial, match code and damage are never offered; `looked_at` says how they are answered.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from inventory.facts.how_known import AS_LAST, FROM_POSITION
from inventory.parts.markings import CODE_STATES
from inventory.store.words.nothing import Nothing, nothing_in
from tui.looked_at import NOT_LOOKED_AT, SEAL_WORDS, SEALS, seal_state

__all__ = [
    "CAME_IN",
    "HOW_LISTED",
    "LISTED",
    "READY",
    "Answer",
    "Ask",
    "Interview",
    "asks_for",
    "begin",
    "condition_and_damage",
    "two_answers",
]

Mark = Literal["=", "+", ""]

#: Questions whose answers the position's list may offer, in one block.
LISTED = ("kind", "maker", "number", "axis", "fasteners", "plugs", "mounts")
#: Questions asked on one line with another one, and the sign between the two answers.
_TOGETHER = {"maker": ("number", ","), "plugs": ("mounts", " / ")}
#: Questions at which "none" is a finding.
_MAY_BE_NONE = ("fasteners", "plugs", "mounts", "car side", "low spots", "at port", "moved", "broken")
#: Questions that are reached only with Up, or by their name at the last question: broken stud.
_ASIDE = ("low spots", "bore", "at port", "route", "as one", "broken", "moved", "car side", "bag", "note")
#: What is asked of a part that did not come off a car here, before and after its condition.
_LOOSE = ("label", "kind", "maker", "number", "serial")
_CAME_IN = ("place", "came")
#: How a part came in, and the library's word for it, which says whose it is.
CAME_IN = {"bought": "bought", "found": "found", "customer's": "left here by a customer", "lent in": "lent in"}
#: Where a code was read; "part" is the part itself.
_READ_FROM = ("part", "dated picture", "picture", "seller", "paperwork")
READY = "log it"
#: How an accepted offer is known.
HOW_LISTED = FROM_POSITION

_WORDS = {
    "label": "Label? Scan or type it",
    "position": "Position?",
    "block": "All as listed? Look at each line",
    "kind": "Kind?",
    "maker": "Maker, on the part?",
    "number": "Part number, on the part?",
    "axis": "Axis of moving element?",
    "fasteners": "Fasteners?",
    "plugs": "Plugs, hoses?",
    "mounts": "Mounts?",
    "serial": "Serial?  il not legible  no none on it  nl not looked at",
    "code": "Match code? If it may be either: O or Q",
    "read from": "Code read where?",
    "condition": "Condition 0-3, and damage?  nl not looked at",
    "car side": "Car side: plug or bracket labelled?",
    "bag": "Bag for the screws?",
    "route": "Route: over or under what did its hose or loom run?",
    "bore": "Bore of the hose?",
    "low spots": "Low spots: where did the hose hang low?",
    "at port": "Fuel or oil at its port? none, or what was seen",
    "as one": "Came off as one with which label?",
    "moved": "What was moved to get at it?",
    "broken": "What broke? Stud, hose, clip",
    "note": "Note?",
    "place": "Where does it lie now?",
    "came": "How did it come?",
    "label seal": "Case label?",
    "sealant seal": "Sealant?",
    "paint mark seal": "Paint mark?",
    READY: "Log it?",
}

_WORDS_OF_TWO = {"maker": "On the part: maker, number?", "plugs": "Plugs, hoses / mounts?"}

_ENTER = {
    "label": "shows a label to write by hand",
    "position": "takes the chosen one",
    "block": "yes",
    "kind": "",
    "serial": "",
    "condition": "",
    "code": "not looked at",
    "read from": "",
    "came": "not told",
    READY: "yes",
}

_CHOICES = {"axis": ("across", "along", "upright"), "read from": _READ_FROM, "came": tuple(CAME_IN)}


@dataclass(frozen=True)
class Answer:
    """An answer and how it was given: `=` offered and accepted, `+` typed, "" left open."""

    value: str
    mark: Mark = "+"


@dataclass(frozen=True)
class Ask:
    """One question: its key, its words, its numbered answers, what Enter alone does."""

    key: str
    words: str
    choices: tuple[str, ...] = ()
    enter: str = ""


@dataclass(frozen=True)
class Interview:
    """The answers about one part being logged. `car`: "" if it did not come off one. `at`: the open question.

    `how_offered`: how the block's answers are known if they are taken; `like`: the part whose answers are offered.
    """

    car: str
    at: str = "label"
    answers: dict[str, Answer] = field(default_factory=dict)
    offer: dict[str, str] = field(default_factory=dict)
    how_offered: str = HOW_LISTED
    like: str = ""
    seals: tuple[str, ...] = ()
    more_seals: tuple[str, ...] = ()
    has_code: bool = False
    has_axis: bool = False

    def value(self, key: str) -> str:
        """The text of an answer, "" if there is none."""
        held = self.answers.get(key)
        return held.value if held else ""

    def order(self) -> tuple[str, ...]:
        """The questions of this part in order, without those reached only with Up."""
        listed = ("block",) if self.offer else tuple(key for key in LISTED if key != "axis" or self.has_axis)
        seals = tuple(f"{seal} seal" for seal in self.seals)
        code = ("code",) if self.has_code else ()
        if not self.car:
            letter = self.value("code").casefold()
            origin = ("read from",) if letter not in ("", *CODE_STATES) and nothing_in(letter) is None else ()
            return (*_LOOSE, *code, *origin, *seals, "condition", *_CAME_IN, READY)
        return ("label", "position", *listed, "serial", *code, *seals, "condition", READY)

    def rows(self) -> tuple[str, ...]:
        """The rows of the form; the block's lines are separate rows."""
        order: list[str] = []
        for key in self.order():
            if key == "block":
                order += [each for each in LISTED if each in self.offer or each in self.answers]
            elif key != READY:
                order.append(key)
            if key == "position" and "second" in self.answers:
                order.append("second")
        return (*order, *self.aside())

    def aside(self) -> tuple[str, ...]:
        """The questions reached only with Up, or by their name; also what a block leaves out."""
        known = self.offer.keys() | self.answers.keys()
        left = (key for key in LISTED if self.offer and key not in known and (key != "axis" or self.has_axis))
        return (*(f"{seal} seal" for seal in self.more_seals), *left, *(_ASIDE if self.car else ("note",)))

    def beside(self, words: str) -> Interview | None:
        """Answer a question reached only with Up by its name and its answer: "broken stud". None if it is none."""
        key = next((each for each in self.aside() if words.casefold().startswith(f"{each} ")), None)
        answer = words[len(key or "") :].strip()
        if key is None or (key.endswith(" seal") and (answer := seal_state(answer) or "") == ""):
            return None
        return replace(self, answers={**self.answers, key: Answer(answer)})

    def together(self) -> str:
        """The question that is asked on one line with the open one, "" if that is asked alone."""
        other = _TOGETHER.get(self.at, ("", ""))[0]
        return other if other in self.order() and not self.answers.keys() & {self.at, other} else ""

    def first_open(self) -> str:
        """The first question without an answer."""
        return next((key for key in self.order() if key not in self.answers), READY)

    def answered(self, value: str, mark: Mark = "+") -> Interview:
        """Answer the open question and go to the next one. An empty answer keeps what was there."""
        answers = dict(self.answers)
        key = self.at
        if key == "block":
            for each, offered in self.offer.items():
                answers.setdefault(each, Answer(offered, "="))
            answers["block"] = Answer("looked at", "=")
        elif value or key not in answers:
            listed = self.offer.get(key, "")
            answers[key] = Answer(value, mark) if value else Answer(listed, "=" if listed else "")
        changed = replace(self, answers=answers)
        return replace(changed, at=changed.first_open())

    def answered_two(self, first: str, second: str) -> Interview:
        """Answer the open question and the one on its line; an empty answer leaves its question open."""
        given = {self.at: first, self.together(): second}
        answers = {key: Answer(value, "+" if value else "") for key, value in given.items()}
        changed = replace(self, answers={**self.answers, **answers})
        return replace(changed, at=changed.first_open())

    def sits_at(self, position: str, second: str = "") -> Interview:
        """Take the position. If it is another than before, what that one's list offered is dropped with it.

        `second`: how it can be, if the position is empty already.
        """
        changed, answers = self, self.answers
        if self.value("position") not in ("", position):
            answers = {key: answer for key, answer in answers.items() if answer.mark == "+" and key != "second"}
            changed = replace(
                self, offer={}, like="", how_offered=HOW_LISTED, seals=(), more_seals=(), has_code=False, has_axis=False
            )
        answers = {**answers, "position": Answer(position), **({"second": Answer(second)} if second else {})}
        changed = replace(changed, answers=answers)
        return replace(changed, at=changed.first_open())

    def like_last(self, offer: dict[str, str], like: str) -> Interview:
        """Offer the answers of the last part of this kind, unless a list offers more than kind, maker and axis."""
        if not offer or self.offer.keys() - {"kind", "maker", "axis"}:
            return self
        both = {**offer, **self.offer}
        changed = replace(self, offer=both, how_offered=AS_LAST, like=like)
        return replace(changed, at=changed.first_open())

    def left_open(self) -> Interview:
        """Leave the open question without an answer, whatever was offered, and go to the next one."""
        if self.together():
            return self.answered_two("", "")
        changed = replace(self, answers={**self.answers, self.at: Answer("", "")})
        return replace(changed, at=changed.first_open())

    def meaning(self, nothing: Nothing, above: str) -> Interview | str:
        """Take a word for nothing as the answer; or the sentence why it is none.

        `above`: the answer of the part before, "" if there is none.
        """
        key = self.at
        if nothing == "as above":
            return self.answered(above) if above else f"Nothing is above: no {key} of a part logged before. Type it."
        if nothing != "none" or key not in _MAY_BE_NONE:
            return self.left_open()
        return self.answered_two("none", "none") if self.together() else self.answered("none")

    def back(self) -> Interview:
        """Go to the question before; its answer stays until it is changed."""
        return self.stepped(-1) if self.at != "label" else self

    def stepped(self, way: int) -> Interview:
        """Go up (-1) or down (1) among the questions that can be reached."""
        if self.first_open() == "label":
            return self
        open_now = self.first_open()
        reach = [key for key in self._walk() if key in self.answers or key in self.offer or key == open_now]
        reach += [key for key in (*self.aside(), READY) if open_now == READY and key not in reach]
        walk = [key for key in self._walk() if key in reach]
        place = walk.index(self.at) if self.at in walk else len(walk) - 1
        return replace(self, at=walk[min(max(place + way, 0), len(walk) - 1)])

    def _walk(self) -> tuple[str, ...]:
        """The rows of the form with the block after its lines, and the last question at the end."""
        rows = list(self.rows())
        if self.offer and "block" not in self.answers:
            rows.insert(rows.index("serial"), "block")
        return (*rows, READY)

    def mark(self, key: str) -> str:
        """The mark of a row: `>` asked now, `=` or `+` answered, `-` left open, `.` still to come."""
        if key in (self.at, self.together()) or (self.at == "block" and key in self.offer and key not in self.answers):
            return ">"
        held = self.answers.get(key)
        return (held.mark or "-") if held else "."

    def ask(self) -> Ask:
        """The open question."""
        key = self.at
        words = _WORDS_OF_TWO[key] if self.together() else _WORDS.get(key, f"{key.capitalize()}?")
        if key == "block" and self.like:
            words = f"All as part {self.like}? Look at each line"
        keeps = "keeps it" if self.value(key) else ""
        if key.endswith(" seal"):
            return Ask(key, f"{words}  {', '.join(SEALS) if self.value(key) else SEAL_WORDS}", enter=keeps)
        choices = _CHOICES.get(key, ())
        if keeps or (key in self.offer and key != "block"):
            return Ask(key, words, choices, "keeps it")
        return Ask(key, words, choices, _ENTER.get(key, "leaves it open"))


def begin(car: str) -> Interview:
    """Start with the next part: the label is asked first, since it goes on the part before the part goes into a box."""
    return Interview(car)


def asks_for(interview: Interview, seals: tuple[str, ...], *, has_code: bool, has_axis: bool) -> Interview:
    """Add the questions of a kind: the first seal is asked; the others (and a case label) are reached with Up."""
    first = seals[:1] if seals[:1] != ("label",) else ()
    more = tuple(seal for seal in seals if seal not in first)
    asked = {f"{seal} seal" for seal in seals} | ({"code"} if has_code else set())
    answers = {
        key: answer
        for key, answer in interview.answers.items()
        if key in asked or not (key == "code" or key.endswith(" seal"))
    }
    changed = replace(interview, answers=answers, seals=first, more_seals=more, has_code=has_code, has_axis=has_axis)
    return replace(changed, at=changed.first_open())


def two_answers(key: str, text: str) -> tuple[str, str]:
    """Split the answers to two questions on one line: "Ostrell, HV 204 118", "4-pin plug / 3x grommet".

    One answer alone is that to `key`; but at the maker, one with a digit is the part number.
    """
    first, sign, second = f" {text} ".partition(_TOGETHER[key][1])
    if not sign and key == "maker" and any(each.isdigit() for each in first):
        first, second = "", first
    return first.strip(), second.strip()


def condition_and_damage(text: str) -> tuple[int | None, str]:
    """Split condition and damage: "1 stud bent" is 1 and "stud bent"; words without a number are damage."""
    if text == NOT_LOOKED_AT:
        return None, ""
    if text[:1] in ("0", "1", "2", "3"):
        return int(text[0]), text[1:].strip(" ,;:")
    return None, text.strip()
