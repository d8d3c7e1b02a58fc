"""The answers to what a plan for pictures leaves open: from options, or typed at the terminal."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any

import click

from inventory.cli.options import pairs_of
from inventory.cli.streams import sentence, warn
from inventory.documents.actions import SHOWS
from inventory.errors import Misused, Refused
from inventory.parts.tags import parse
from inventory.pictures.look import Answers
from inventory.pictures.plan import Plan, Question
from inventory.store.words.names import one_of
from inventory.store.words.text import printable

__all__ = ["answers_of", "ask_answers"]

_SHIFT = re.compile(r"([+-]?)(?:(\d{1,6})h)?\s*(?:(\d{1,6})m(?:in)?)?\s*(?:(\d{1,6})s)?")
#: A clock that was never set shows 1970 or later; what is farther off is a slip of the hand.
_FARTHEST = timedelta(days=36_525)
_HOURS = ("first", "second")


def answers_of(said: dict[str, Any]) -> Answers:
    """The answers in a command's options."""
    one_of("use of a document", said["shows"], SHOWS, "--shows")
    give = {name: parse(tag) for name, tag in pairs_of(said["give"], "--give")}
    clocks = {}
    for text in said["clocks"]:
        camera, _, shift = text.rpartition("=")
        clocks[camera.strip()] = _shift(shift)
    return Answers(give, frozenset(said["leave"]), clocks, said["hour"] or "", said["shows"])


def ask_answers(plan: Plan, answers: Answers) -> Answers:
    """Ask the person at the terminal each open question; Enter leaves its pictures out."""
    for question in plan.questions:
        warn(sentence(f"{len(question.names)} of the pictures {question.says}: {_some(question.names)}"))
        while typed := click.prompt(printable(_asked(question)), default="", show_default=False, err=True).strip():
            try:
                answers = _answered(answers, question, typed)
                break
            except Refused as refused:
                warn(sentence(refused.message))
    return answers


def _asked(question: Question) -> str:
    if question.camera:
        return "What is to be added to its times (+0s if they are right, +1h, -4m30s; Enter leaves them out)"
    if question.about == "repeated hour":
        return "Which of the two, first or second (Enter leaves them out)"
    return "Whose label begins there: its tag (Enter leaves them out)"


def _answered(answers: Answers, question: Question, typed: str) -> Answers:
    if question.camera:
        return replace(answers, clocks={**answers.clocks, question.camera: _shift(typed)})
    if question.about == "repeated hour":
        if typed not in _HOURS:
            raise Misused("not-an-hour", f'The repeated hour is first or second, not "{typed}"')
        return replace(answers, hour=typed)
    return replace(answers, give={**answers.give, question.names[0]: parse(typed)})


def _shift(text: str) -> timedelta:
    found = _SHIFT.fullmatch(text.strip())
    if found is None or not any(found.groups()[1:]):
        raise Misused("not-a-shift", f'--clock takes a time as +1h or -4m30s, not "{text}"', where="--clock")
    hours, minutes, seconds = (int(number or 0) for number in found.groups()[1:])
    by = timedelta(hours=hours, minutes=minutes, seconds=seconds)
    if by > _FARTHEST:
        raise Misused("not-a-shift", f'"{text}" is more than a hundred years', where="--clock")
    return -by if found[1] == "-" else by


def _some(names: Sequence[str]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
