"""Questions to the person at the terminal: which name, or which word for nothing, is meant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inventory.cli.streams import sentence, warn
from inventory.errors import NearName, UnknownName
from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import fold, printable

if TYPE_CHECKING:
    from inventory.condition_list.roles import Named
    from inventory.sheets.columns.questions import SheetQuestion
    from inventory.store.record import Record

__all__ = [
    "ask_about_sheet",
    "ask_covered",
    "ask_each",
    "ask_found",
    "ask_letter",
    "ask_name",
    "ask_names",
    "ask_text",
    "ask_yes",
    "choose",
]

#: The sorts of names that are looked up, with an answer that a second try finds.
_LOOKED_UP = frozenset({"car", "place", "position", "contact", "kind"})


#: What a doubtful word may mean where a letter is asked: the answer, and the state of the match code.
_NO_LETTER = (
    ("not known", "not looked at"),
    ("none, it never had one", "never fitted"),
    ("as above, so no letter is recorded", None),
)


def choose(question: str, answers: Sequence[str]) -> int:
    """Ask which of some answers is right. Returns its place, from 0. Raises `click.Abort` if there is none."""
    import click

    warn(sentence(question))
    for number, answer in enumerate(answers, 1):
        warn(f"  {number}  {answer}")
    numbers = [str(number) for number in range(1, len(answers) + 1)]
    while (typed := click.prompt("Which (Ctrl+C stops)", err=True).strip()) not in numbers:
        warn(f"Type a number from 1 to {len(answers)}.")
    return numbers.index(typed)


def ask_about_sheet(asked: Sequence[SheetQuestion]) -> dict[str, str]:
    """The answers to what a file leaves open, by the keys of the questions; Enter takes what is taken without one.

    "q" leaves all that are left as they are.
    """
    import click

    from inventory.sheets.columns.questions import choice_meant, named_by_digits

    said: dict[str, str] = {}
    for number, each in enumerate(asked, 1):
        many = f"{len(each.rows)} row{'' if len(each.rows) == 1 else 's'}"
        warn(f"{number} of {len(asked)}: {printable(each.says)}, {many}")
        for line in each.shown:
            warn(f"     {printable(line)}")
        for place, choice in enumerate(each.choices, 1):
            label = "-" if named_by_digits(each) else place
            warn(f"  {label}  {printable(choice.says)}{'  (taken: Enter)' if choice.key == each.taken else ''}")
        other = ", or type it" if each.typed else ""
        while True:
            typed = click.prompt(
                f"Which{other} (Enter: as taken, q: the rest as taken)", "", show_default=False, err=True
            )
            if typed.strip().casefold() == "q":
                return said
            if not typed.strip() or (answer := choice_meant(each, typed)):
                break
            warn(f"Type a number from 1 to {len(each.choices)}, or the words of a choice.")
        if typed.strip():
            said[each.key] = answer
        elif each.taken:
            said[each.key] = each.taken
    return said


def ask_letter(code: str) -> tuple[str | None, str | None]:
    """The match code and its state; asked where the code is a doubtful word, such as a dash."""
    if nothing_in(code) != "doubtful":
        return code, None
    answers = [*(answer for answer, _ in _NO_LETTER), "leave it as written; it is no letter"]
    place = choose(f'The match code "{code}" is no letter; what does it mean?', answers)
    return (None, _NO_LETTER[place][1]) if place < len(_NO_LETTER) else (code, None)


def ask_covered() -> str:
    """Whether ports and plug were covered while a part was cleaned, blasted or coated: yes or no."""
    return ("yes", "no")[choose("Were ports and plug covered?", ["yes", "no"])]


def ask_yes(question: str) -> bool:
    """A question that is answered with yes or no."""
    return choose(question, ["yes", "no"]) == 0


def ask_text(question: str) -> str:
    """A question that is answered in words; empty if it stays open."""
    import click

    answer: str = click.prompt(
        f"{printable(sentence(question))} (Enter leaves it open)", default="", show_default=False, err=True
    )
    return answer.strip()


def ask_found(lines: Sequence[str], tags: Sequence[str]) -> dict[str, str]:
    """What was found of each of some parts, by tag; one that is looked for later is left out."""
    answers = ["here", "not here", "elsewhere", "later"]
    found = {tag: answers[choose(f"{line}?", answers)] for line, tag in zip(lines, tags, strict=True)}
    return {tag: word for tag, word in found.items() if word != "later"}


def ask_names(named: Sequence[Named]) -> tuple[str, ...]:
    """Which texts that name somebody stay as written: their digests. Each is asked about once."""
    from inventory.condition_list.roles import digest_of

    stay = []
    for each in named:
        whose = f"Item {each.item} ({each.tag}), {each.column}" if each.item else each.column
        if choose(f'{whose}: "{each.text}"', [f'write "{each.cut}"', "leave it as it is"]):
            stay.append(digest_of(each.text))
    return tuple(stay)


def ask_each(question: str, lines: Sequence[str], sure: Sequence[bool]) -> list[int]:
    """For which of some lines the question is answered with yes: their places. "all": this one and all sure ones."""
    import click

    chosen: list[int] = []
    for place, line in enumerate(lines):
        warn(line)
        while (typed := click.prompt(f"{question} (y, n, all)", err=True).strip().casefold()) not in ("y", "n", "all"):
            warn("Type y, n or all.")
        if typed == "all":
            return [*chosen, *(at for at in range(place, len(lines)) if sure[at] or at == place)]
        if typed == "y":
            chosen.append(place)
    return chosen


def ask_name(record: Record, asked: NearName | UnknownName) -> bool:
    """Ask which name was meant, and keep the answer for the next try. False: it is none of the names on record."""
    is_new = isinstance(asked, NearName)
    if not asked.near or not (is_new or asked.what in _LOOKED_UP):
        return False
    place = choose(asked.message, [*asked.near, "a new name" if is_new else "none of them"])
    meant = asked.near[place] if place < len(asked.near) else ""
    if asked.what == "kind" and meant:
        limits = record.given["limits"]
        limits.meant = {**limits.meant, fold(asked.name): meant}
    elif meant or is_new:
        record.names_meant.take(asked, meant)
    return bool(meant) or is_new
