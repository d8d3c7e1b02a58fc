"""What a sheet leaves open: a question for each problem, asked once for all its rows and remembered with the layout.

A question has a key that is the same next month: its sort and what it is about, with "/" between, as
`word/kind/relais` or `colour/FFFF00`. Saved answers are kept under it (`saved_mappings`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from inventory.errors import Misused

__all__ = [
    "ABOVE",
    "ADD",
    "AS_TEXT",
    "CARS",
    "EACH",
    "Choice",
    "SheetQuestion",
    "answered",
    "answers_meant",
    "choice_meant",
    "key_of",
    "named_by_digits",
    "question_meant",
    "still_open",
]

#: The sorts of questions that are about one thing, and the questions about a whole file.
_SORTS = frozenset(
    {
        *("word", "header", "currency", "day", "colour", "struck", "table", "tab", "kind", "place", "title", "pair"),
        *("quantity", "zeros", "gone", "sorted", "cars"),
    }
)
#: So many questions are named where one is not found.
_SHOWN = 8
_WHOLE_FILE = frozenset({"currency", "dates", "decimal", "day numbers", "century", "hidden"})
#: The answer that keeps a text as it stands.
AS_TEXT = "text"
#: The answer that a text is that of the row above.
ABOVE = "as above"
#: The answers that cars which are not on record are added, and that each is asked about by itself; the sort of the
#: question about several of them, whose key names all.
ADD, EACH, CARS = "add", "each", "cars"


@dataclass(frozen=True)
class Choice:
    """An answer: how it is kept (`key`) and what a person reads."""

    key: str
    says: str


@dataclass(frozen=True)
class SheetQuestion:
    """A question about a file. `says`: a clause without its rows, as `"relais" in Teil`.

    `rows`: sheet and number of each row that it concerns. `taken`: the key of the choice that counts without an answer;
    "" if its rows cannot be read until somebody answers. `typed`: what may be typed instead of a choice: "" for
    nothing, else the name of the column whose words are meant, or "text". `shown`: a few rows in full, a line each.
    """

    key: str
    says: str
    choices: tuple[Choice, ...]
    rows: tuple[tuple[str, int], ...] = ()
    taken: str = ""
    typed: str = ""
    shown: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, object]:
        """The object in `questions` of `sheet read`."""
        return {
            "key": self.key,
            "says": self.says,
            "rows": [{"sheet": sheet, "row": number} for sheet, number in self.rows],
            "choices": [{"key": each.key, "says": each.says} for each in self.choices],
            "taken": self.taken or None,
        }


def key_of(sort: str, *about: str) -> str:
    """The key of a question, by its sort and what it is about; a "/" in a text becomes a blank."""
    return "/".join([sort, *(" ".join(each.casefold().replace("/", " ").split()) for each in about)])


def answered(said: Mapping[str, str], question: SheetQuestion) -> str:
    """The key of the choice that counts: as answered, else what is taken without an answer ("" for none)."""
    return said.get(question.key, question.taken)


def still_open(questions: Iterable[SheetQuestion], said: Mapping[str, str]) -> list[SheetQuestion]:
    """The questions without an answer, most rows first."""
    return sorted((each for each in questions if each.key not in said), key=lambda each: -len(each.rows))


def answers_meant(typed: Mapping[str, str], questions: Sequence[SheetQuestion]) -> dict[str, str]:
    """What was typed as answers, by the keys of the questions (`question_meant`) and of their choices.

    A whole key that nothing is asked about stays: it may be an answer of last month. Raises `Misused` if a question or
    an answer is none.
    """
    found: dict[str, str] = {}
    for said, answer in typed.items():
        sort, slash, _ = said.partition("/")
        try:
            question = question_meant(said, questions)
        except Misused:
            if said in _WHOLE_FILE or (slash and sort in _SORTS):
                found[said] = answer
                continue
            raise
        found[question.key] = _answer_meant(answer, question)
    return found


def named_by_digits(question: SheetQuestion) -> bool:
    """Whether answers are digits themselves, as conditions are: then a digit is an answer, not its number."""
    return any(len(each.key) == 1 and each.key.isdecimal() for each in question.choices)


def choice_meant(question: SheetQuestion, typed: str, *, numbered: bool = True) -> str:
    """The answer that typed words mean: the words, the key or the number of a choice, else words of one's own.

    "" if they mean none. Where words may be typed, the first letters of a choice do not mean it. `numbered`: the person
    sees the choices with their numbers.
    """
    plain = " ".join(typed.split())
    fold = plain.casefold()
    exact = [each.key for each in question.choices if fold in (each.says.casefold(), each.key.casefold())]
    begun = [each.key for each in question.choices if each.says.casefold().startswith(fold)]
    if exact:
        return exact[0]
    by_number = numbered and plain.isdecimal() and not named_by_digits(question)
    if by_number and 1 <= int(plain) <= len(question.choices):
        return question.choices[int(plain) - 1].key
    if question.typed:
        return plain
    return begun[0] if len(begun) == 1 else ""


def _answer_meant(typed: str, question: SheetQuestion) -> str:
    """The key of the choice that was typed, or the text, where one may be typed."""
    if answer := choice_meant(question, typed, numbered=False):
        return answer
    says = f'"{typed.strip()}" is no answer to: {question.says}'
    every = ", ".join(choice.key for choice in question.choices)
    raise Misused("no-such-answer", says, where="--answer", hint=f"one of: {every}")


def question_meant(typed: str, questions: Sequence[SheetQuestion]) -> SheetQuestion:
    """The question that a person names: by its number in the list (from 1), by its key, or by the end of its key.

    Raises `Misused` if there is none, or several.
    """
    plain = " ".join(typed.casefold().split())
    if plain.isdecimal() and len(plain) < 6:
        if not 1 <= int(plain) <= len(questions):
            raise _no_question(f"there is no question {plain}", questions)
        return questions[int(plain) - 1]
    exact = [each for each in questions if each.key == plain]
    ends = (f"/{plain}", key_of("", typed))
    found = exact or [each for each in questions if each.key.endswith(ends)]
    if len(found) == 1:
        return found[0]
    says = "nothing is asked about" if not found else "several questions are about"
    raise _no_question(f'{says} "{typed}"', questions)


def _no_question(says: str, questions: Sequence[SheetQuestion]) -> Misused:
    """The refusal with what is asked."""
    keys = [f"{number} {each.key}" for number, each in enumerate(questions[:_SHOWN], 1)]
    more = f" and {len(questions) - _SHOWN} more" if questions[_SHOWN:] else ""
    hint = f"asked is: {', '.join(keys)}{more}; the trial says more: --try" if keys else "nothing is asked: --try"
    return Misused("no-such-question", says, where="--answer", hint=hint)
