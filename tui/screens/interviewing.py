"""What Strip and Got share: the questions about one part, their answers, the label, and the draft of them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from inventory.errors import Refused
from inventory.parts.tags import parse as parse_tag
from inventory.store.words.nothing import is_no_name, nothing_in, what_is_meant
from inventory.store.words.text import fold
from tui.data import strip as data
from tui.data.acts import place_labelled
from tui.drafts import Draft
from tui.interview import READY, Answer, Interview, begin, two_answers
from tui.looked_at import CONDITION, SEALS, SERIAL, condition, seal_state, serial
from tui.questions import Question, chosen
from tui.sitting import Sitting
from tui.view import View

if TYPE_CHECKING:
    from inventory.reference.data import Reference
    from inventory.store.words.nothing import Nothing

__all__ = ["Interviewing"]

#: Questions to which one digit is no answer: it is a press too many, or too few.
_NO_DIGIT = ("maker", "number", "fasteners", "plugs", "mounts")
_LOOKS = {"serial": (serial, SERIAL), "condition": (condition, CONDITION)}


class Interviewing(View):
    """Asks about one part. `car`: the car that it comes off; "" for a part that did not come off a car here."""

    asks_what_settles = False
    draft_key = ""

    def __init__(self, sitting: Sitting, car: str) -> None:
        super().__init__(sitting)
        self.car = car
        self.interview: Interview | None = None
        self._label_to_write = ""
        self._above: dict[str, str] = {}
        self.places: tuple[str, ...] = ()

    def car_shown(self) -> str | None:
        """The car that the part comes off."""
        return self.car or None

    def what(self) -> str:
        """What the draft is about."""
        raise NotImplementedError

    def write_part(self, interview: Interview) -> None:
        """Write the part."""
        raise NotImplementedError

    def take_position(self, interview: Interview, words: str) -> None:
        """Take the position, in a view that asks it."""

    def offered(self, interview: Interview) -> Interview:
        """The interview with what is offered for its kind, in a view that offers it."""
        return interview

    def reference(self) -> Reference:
        """The reference data in force."""
        return self.sitting.record.reference

    def redraw(self) -> None:
        """Show the answers."""
        raise NotImplementedError

    def begin_again(self) -> None:
        """Begin with a part, without any answer."""
        self.interview = begin(self.car)

    def go_on(self) -> None:
        """Begin with the next part; the answers of this one are those above."""
        if self.interview is not None:
            self._above = {key: answer.value for key, answer in self.interview.answers.items()}
        self.begin_again()

    def asked(self) -> Question:
        """The open question of the part."""
        if self._label_to_write:
            return Question("Stuck on? Type the last two signs, without the dash, or scan")
        if self.interview is None:
            return Question("One moment:")
        ask = self.interview.ask()
        return Question(ask.words, ask.choices, ask.enter, short=ask.key.endswith(" seal"))

    def from_draft(self, draft: Draft) -> Interview:
        """The answers of a draft, at the question where it stopped."""
        answers = {
            key: Answer(value, "=" if mark == "=" else "+" if mark == "+" else "")
            for key, (value, mark) in draft.answers.items()
        }
        return Interview(self.car, draft.stopped_at, answers)

    def was_refused(self, refused: Refused) -> None:
        """Keep the answers of a refused act."""
        self.redraw()

    def on_resize(self) -> None:
        """Redraw at the new width."""
        self.call_after_refresh(self.redraw)

    def steer(self, key: str) -> None:
        """Go up and down the form."""
        if self.interview is not None and key in ("up", "down"):
            self.keep(self.interview.stepped(-1 if key == "up" else 1))
            self.redraw()

    def back(self) -> bool:
        """Go to the question before; at the label, leave the view."""
        if self._label_to_write:
            self._label_to_write = ""
        elif self.interview is not None and not self._at("label"):
            self.keep(self.interview.back())
        else:
            return False
        self.redraw()
        return True

    def midway(self, tag: str, what: str) -> None:
        """A label was scanned at another question than that for the label. `what`: what carries it, "" if it is free.

        Nothing of this part may end on another one, so a person says what the scan means.
        """
        interview = self.interview
        own = interview.value("label") if interview else ""
        if interview is None:
            return
        if tag == own:
            self.host.say(f"{tag} is this part's own label. Nothing was changed.")
        elif what:
            self.host.say(f"{tag} is on the {what}. {self.what()} is half answered, and kept.")
            opens = (f"open the {what}", "go on with this part")
            self.host.ask(Question("", opens), lambda says: self.host.open_part(tag) if says == opens[0] else None)
        else:
            self.host.say(f"{tag} is free; this part has label {own}.")
            ways = (f"{tag} replaces {own}", "it is the next part's: not now")
            self.host.ask(Question("", ways), lambda says: self._relabel(tag) if says == ways[0] else None)

    def _relabel(self, tag: str) -> None:
        """Another free label was stuck on the part being asked about."""
        if self.interview is not None:
            self.keep(replace(self.interview, answers={**self.interview.answers, "label": Answer(tag)}))
            self.host.say(f"This part has label {tag} now.")
            self.redraw()

    def scanned(self, text: str) -> str:
        """The name of a place is an answer only where a place is asked."""
        if not self._at("place") and fold(text) in map(fold, self.places):
            return f'Scanned "{text}", a place. It is no answer here.'
        return ""

    def place_read(self, text: str, *, by_hand: bool) -> bool:
        """The label of a place answers where a place is asked."""
        interview = self.interview
        if interview is None or not self._at("place"):
            return False

        def take(name: str) -> None:
            self.take_answer(interview, name)
            self.redraw()

        self.read("place", lambda session: place_labelled(session, text), take)
        return True

    def _at(self, *keys: str) -> bool:
        return self.interview is not None and self.interview.at in keys

    def take_answer(self, interview: Interview, words: str) -> None:
        """Take the answer to the open question."""
        ask = interview.ask()
        if fold(words) == "drop" and ask.key in ("label", "position", "block", READY):
            self._drop(interview)
        elif ask.key == "label":
            self._take_label(interview, words)
        elif ask.key == "position":
            self.take_position(interview, words)
        elif ask.key == "kind":
            self._take_kind(interview, words)
        elif ask.key == "code" and nothing_in(words) is not None:
            self._take_no_code(interview, words)
        elif ask.key in (READY, "block") and words:
            self._take_beside(interview, words)
        elif ask.key == READY:
            self.write_part(interview)
        else:
            self._take_words(interview, words)

    def _take_words(self, interview: Interview, words: str) -> None:
        """Take the answer to a question that is answered in words, or by one of its choices."""
        ask = interview.ask()
        if ask.key in ("serial", "condition") or ask.key.endswith(" seal"):
            self._take_look(interview, words)
        elif ask.key in _NO_DIGIT and len(words) == 1 and words.isdecimal():
            self.host.say(f'"{words}" alone may be meant for another question. Type it in full.')
        elif is_no_name(words):
            self._take_nothing(interview, words)
        elif interview.together():
            self._take_two(interview, words)
        elif ask.key == "read from" and not words and not interview.value("read from"):
            self.host.say("Say where: only a letter read on the part, or on a dated picture, counts as read.")
        elif ask.choices and words:
            answer = chosen(words, ask.choices)
            if answer is None:
                self.host.say(f'"{words}" is none of: {", ".join(ask.choices)}.')
            else:
                self.keep(interview.answered(answer))
        else:
            self.keep(interview.answered(words))

    def _take_two(self, interview: Interview, words: str) -> None:
        """Take the answers to two questions on one line."""
        answers, none = two_answers(interview.at, words), "none" if interview.at == "plugs" else ""
        for each in answers:
            if nothing_in(each) in ("doubtful", "as above") or (len(each) == 1 and each.isdecimal()):
                self.host.say(f'"{each}" may mean several things. Type it in full, or leave it out.')
                return
        first, second = ((none if nothing_in(each) == "none" else "") if is_no_name(each) else each for each in answers)
        self.keep(interview.answered_two(first, second))

    def _take_beside(self, interview: Interview, words: str) -> None:
        """Words where Enter means yes: at the last question they may answer one that is reached only with Up."""
        beside = interview.beside(words) if interview.at == READY else None
        if beside is None:
            self.host.say("Enter on an empty line means yes; Up goes to an answer that is different.")
        else:
            self.keep(beside)
            taken = [key for key, answer in beside.answers.items() if interview.answers.get(key) != answer]
            self.host.say(" ".join(f"{key.capitalize()}: {beside.value(key)}." for key in taken))

    def _take_look(self, interview: Interview, words: str) -> None:
        """A seal, the serial or the condition: Enter alone is no answer, and keeps only what was answered."""
        read, says = _LOOKS.get(interview.at, (seal_state, ", ".join(f"{key} {state}" for key, state in SEALS.items())))
        answer = read(words)
        if not words and (interview.value(interview.at) or interview.at in interview.aside()):
            self.keep(replace(interview, at=interview.first_open()))
        elif answer is None:
            self.host.say(says)
        else:
            self.keep(interview.answered(answer))

    def _take_no_code(self, interview: Interview, words: str) -> None:
        """A word for nothing as a match code: the state that it means, if it is certain."""
        if nothing_in(words) in ("doubtful", "as above", "an answer"):
            self.host.say(f'"{words}" is no letter. Type it, or: not looked at, unreadable, label gone, never fitted.')
        else:
            self.keep(interview.answered(what_is_meant(words)[1] or ""))

    def _take_nothing(self, interview: Interview, words: str) -> None:
        """A word for nothing: ask what a doubtful one means."""

        def take(meant: str) -> None:
            taken = interview.meaning(cast("Nothing", meant), self._above.get(interview.at, ""))
            if isinstance(taken, str):
                self.host.say(taken)
            else:
                self.keep(taken)
            self.redraw()

        nothing = nothing_in(words)
        if nothing == "doubtful":
            self.host.say(f'"{words}" may mean three things.')
            self.host.ask(Question("Which is meant?", ("not known", "none", "as above")), take)
        else:
            take(str(nothing))

    def _take_label(self, interview: Interview, words: str) -> None:
        if self._label_to_write and len(typed := fold(words)) < 3:
            if fold(self._label_to_write).endswith(typed) and len(typed) == 2:
                label, self._label_to_write = self._label_to_write, ""
                self.keep(interview.answered(label))
            else:
                self.host.say(f"Read it off the label: it must be {self._label_to_write}. Type the last two signs.")
        elif words:
            self.not_a_label(words)
        elif interview.value("label"):
            self.keep(interview.answered(""))
        else:
            self.read("next label", data.next_label, self._show_label)

    def not_a_label(self, words: str) -> None:
        """Refuse a text that is no label."""
        try:
            parse_tag(words)
        except Refused as refused:
            self.host.say_refused(refused)

    def _drop(self, interview: Interview) -> None:
        """Drop the answers about this part, after showing them."""
        given = [
            f"{key} {answer.value}" for key, answer in interview.answers.items() if answer.value and key != "block"
        ]

        def dropped() -> None:
            self.host.drop_draft(self.draft_key)
            self.begin_again()
            self.host.say("The answers were dropped. Nothing was written.")
            self.redraw()

        self.host.say(f"Answers so far: {', '.join(given) or 'none'}.")
        self.host.confirm(Question("Drop this part's answers?", enter="yes, Esc no"), dropped)

    def _show_label(self, tag: str) -> None:
        self._label_to_write = tag
        self.host.say(f"Write {tag} on the label and stick it on, then type its last two signs.")
        self.redraw()

    def _take_kind(self, interview: Interview, words: str) -> None:
        def meant(name: str) -> None:
            self._take_kind(interview, name)
            self.redraw()

        reference = self.reference()
        kinds = data.kind_names(reference)
        name = words if words.isdecimal() else chosen(words, kinds) or words  # the kinds are shown without numbers
        if is_no_name(name) or (not name and not interview.value("kind") and "kind" not in interview.offer):
            self.host.say("A part needs a kind, for example relay, pressure sensor, other.")
            return
        try:
            answered = interview.answered(name)
            self.keep(self.offered(data.with_kind(answered, answered.value("kind"), reference)))
        except Refused as refused:
            self.host.say_refused(refused)
            if refused.near:
                self.host.ask(Question("Which kind?", tuple(refused.near)), meant)

    def keep(self, interview: Interview) -> None:
        """Take an answer, and save the draft at once."""
        self.interview = interview
        answers = {key: [answer.value, answer.mark] for key, answer in interview.answers.items()}
        if answers:
            self.host.save_draft(Draft(self.draft_key, self.what(), interview.at, answers))
        self.host.show_foot()
