"""Labels on what stays on the car, scanned while a part is logged."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from inventory.labels.codes import CAR_SIDES, CarSideCode, car_sides_in
from tui.interview import Answer, Interview
from tui.questions import Question

if TYPE_CHECKING:
    from tui.screens.interviewing import Interviewing

__all__ = ["take_car_side"]

_USUAL = ("plug", "hose", "bracket")
_MOST = 6


def take_car_side(view: Interviewing, code: CarSideCode) -> None:
    """Ask what a car-side label is on, and add it to the answer "car side" of the part being logged."""
    interview = view.interview
    label = interview.value("label") if interview else ""
    if interview is None or not label:
        view.host.say(f"{code.printed} goes on what stays on the car. Scan the part's own label first.")
    elif label != code.tag:
        view.host.say(f"{code.printed} goes with {code.tag}; this part is {label}. Take C1 to C{CAR_SIDES} of {label}.")
    elif any(known == code for known, _ in car_sides_in(interview.value("car side"))):
        view.host.say(f"{code.printed} is noted already: {interview.value('car side')}.")
    else:
        view.host.ask(Question(f"{code.printed} is on what?", _what_stays(interview)), lambda on: _note(view, code, on))


def _what_stays(interview: Interview) -> tuple[str, ...]:
    """What the label may be on: the plugs and hoses that were named, less those that have a label, then the usual."""
    plugs = interview.value("plugs") or interview.offer.get("plugs", "")
    named = [each.strip() for each in plugs.split(";") if each.strip()]
    had = {on for _, on in car_sides_in(interview.value("car side"))}
    return tuple(dict.fromkeys(each for each in (*named, *_USUAL) if each not in had))[:_MOST]


def _note(view: Interviewing, code: CarSideCode, on: str) -> None:
    interview = view.interview
    if interview is None:
        return
    said = "; ".join(each for each in (interview.value("car side"), f"{code.printed} {on}") if each)
    view.keep(replace(interview, answers={**interview.answers, "car side": Answer(said)}))
    view.host.say(f"{code.printed} is on the {on}.")
    view.redraw()
