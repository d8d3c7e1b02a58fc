"""Strip: take a car apart, part by part, question by question."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult

from inventory.cars.queries import PositionView
from inventory.errors import NearName, Refused
from inventory.parts.tags import parse as parse_tag
from inventory.store.words.near import near_names
from inventory.store.words.nothing import is_no_name, name_given, nothing_in
from inventory.store.words.text import fold
from inventory.teardown.actions import LoggedPart
from inventory.teardown.queries import Removed
from tui.data import strip as data
from tui.drafts import Draft
from tui.interview import READY, Answer, Interview, begin
from tui.questions import Question, chosen
from tui.safe import plain
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.board import Board
from tui.widgets.rows import RowList

if TYPE_CHECKING:
    from inventory.store.words.nothing import Nothing

__all__ = ["Strip", "draft_key"]

_STAYS = re.compile(r"\s*(\d+)?\s*stays? on\b[\s:,]*(.*)", re.IGNORECASE)
_KEY = "off:"


def draft_key(car: str) -> str:
    """The key of the draft of a part off this car."""
    return f"{_KEY}{car}"


class Strip(View):
    """One strip-down of one car."""

    asks_what_settles = False

    def __init__(self, sitting: Sitting, car: str) -> None:
        super().__init__(sitting)
        self.car = car.removeprefix(_KEY)
        self.standing: data.StripDownState | None = None
        self.interview: Interview | None = None
        self._unlisted = ""
        self._stays = ""
        self._known: data.KnownLabel | None = None
        self._override: str | None = None
        self._words = ""
        self._label_to_write = ""
        self._before_words: PositionView | None = None
        self._above: dict[str, str] = {}
        self._board = Board()

    def compose(self) -> ComposeResult:
        """The board."""
        yield self._board

    # What the host calls.

    def where(self) -> str:
        """The car."""
        return f"Strip: {self.car}"

    def middle(self) -> str:
        """How many parts are off, and how many are still on."""
        now = self.standing
        return f"{len(now.came_off)} off, {len(now.still_on)} still on" if now else ""

    def question(self) -> Question:
        """The open question."""
        if self._stays:
            return Question(f"{self._stays} stays on. Why?")
        if self._known is not None:
            return Question("", ("it is that part, now from this car", "wrong label"))
        if self._unlisted:
            return Question("A new position?", enter=f'"{self._unlisted}"')
        if self._label_to_write:
            return Question("Written and stuck on? Or scan another", enter=f"yes, {self._label_to_write}")
        if self.interview is None:
            return Question("One moment:")
        ask = self.interview.ask()
        return Question(ask.words, ask.choices, ask.enter)

    def care(self) -> str:
        """The worst caution for this kind, or for the start of a strip-down while that question is open."""
        cares = self._cares()
        return cares[0][0] if cares else ""

    def cautions_in_full(self) -> tuple[str, ...]:
        """The cautions in full, with their sources."""
        return tuple(full for _, full in self._cares())

    def help_text(self) -> tuple[str, ...]:
        """How to log a part."""
        return (
            "The label goes on the part before the part goes into the box. Scan it or type it; Enter alone shows a "
            "label to write by hand. Then give the position: its number, a few letters, or a new name.",
            "What the position's list says is offered in one block. Enter says that you looked at it and it is so; Up "
            "goes to a single line that is different. Serial, code, seal, condition and damage are never offered: you "
            "must look at the part. From the last question, Up goes to car side, bag, note and the other seals.",
            "If a part will not come off, choose its position and type: stays on, and why. Esc or Backspace goes to "
            "the question before. Each answer is saved as a draft at once. To delete the draft, type drop at the "
            "label, position, block or last question. To close the strip-down, type done at the label.",
        )

    def opened(self) -> None:
        """Read the state of the strip-down."""
        car = self.car
        self.read("standing", lambda session: data.strip_down_state(session, car), self._show_standing)

    def line_changed(self, text: str) -> None:
        """Narrow the list of positions while the position is asked."""
        if not self._words and text:
            self._before_words = self._board.chosen
        self._words = text
        if self._at("position"):
            plain_words = not text.strip().isdecimal() and not _STAYS.match(text)
            self._board.narrow(text if plain_words else "")

    def take(self, text: str) -> None:
        """An answer."""
        self._words = ""
        words = plain(text).strip()
        if self._stays:
            self._note_stay(self._stays, words)
        elif self._known is not None:
            self._take_known(words)
        elif self.interview is not None and (stays := _STAYS.match(words)) and self._at("label", "position"):
            self._take_stays(stays)
        elif self.interview is not None:
            self._take_answer(self.interview, words)
        self._redraw()

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """Take the label for the part coming off; at other questions let the host open that part."""
        self._words = ""
        if not self._at("label") or self._known is not None:
            return False
        car = self.car
        self.read(
            "label", lambda session: data.label_on_record(session, tag, car), lambda known: self._label(tag, known)
        )
        return True

    def steer(self, key: str) -> None:
        """Choose a position while it is asked; else go up and down the form."""
        if key in ("tab", "shift+tab"):
            self.toggle_class("-other")
        elif self._at("position", "label"):
            self._board.on.steer(key)
        elif self.interview is not None and key in ("up", "down"):
            self._keep(self.interview.stepped(-1 if key == "up" else 1))
            self._redraw()

    def back(self) -> bool:
        """Go to the question before; at the label, leave the view."""
        if self._stays or self._unlisted or self._known is not None or self._label_to_write:
            self._stays, self._unlisted, self._known, self._label_to_write = "", "", None, ""
        elif self.interview is not None and not self._at("label"):
            self._keep(self.interview.back())
        else:
            return False
        self._redraw()
        return True

    def was_refused(self, refused: Refused) -> None:
        """Keep the answers of a refused act."""
        self._redraw()

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap on a position picks it while it is asked; a tap on a part that came off opens its card."""
        if event.rows is self._board.off and isinstance(self._board.off.item, Removed):
            self.host.open_part(self._board.off.item.tag)
        elif event.rows is self._board.on and self._at("position"):
            self.take("")

    def on_resize(self) -> None:
        """Redraw at the new width."""
        self.call_after_refresh(self._redraw)

    # The state of the strip-down.

    def _show_standing(self, standing: data.StripDownState | None) -> None:
        if standing is None:
            self.host.replace(make_view("strip", self.sitting))
            return
        self.standing = standing
        if self.interview is None:
            draft = self.host.draft(draft_key(self.car))
            if draft is not None:
                self._resume(draft)
                return
            self.interview = begin(self.car)
        self._redraw()

    def _resume(self, draft: Draft) -> None:
        """Continue a draft at the question where it stopped."""
        answers = {
            key: Answer(value, "=" if mark == "=" else "+" if mark == "+" else "")
            for key, (value, mark) in draft.answers.items()
        }
        held = Interview(self.car, draft.stopped_at, answers)
        view = self.standing.position(held.value("position")) if self.standing else None

        def show(resumed: Interview) -> None:
            self.interview = replace(resumed, at=draft.stopped_at)
            self.host.say(f'{draft.what}: continued from the draft, at "{draft.stopped_at}".')
            self._redraw()

        self.read("resume", lambda session: data.resumed(session, held, view), show)

    def _at(self, *keys: str) -> bool:
        return self.interview is not None and self.interview.at in keys

    # Answers.

    def _label(self, tag: str, known: data.KnownLabel | None) -> None:
        """A label was read: a free one, that of a part on this car, or that of another part."""
        interview = self.interview
        if interview is None:
            return
        self._label_to_write = ""
        if known is None or known.here:
            self.host.say(f"Label {tag} read. Stick it on." if known is None else known.says)
            answered = interview.answered(tag)
            view = self.standing.position(known.position) if known and self.standing else None
            if view is not None:
                self._take_position(answered, view.name, view)
            else:
                self._keep(answered)
        else:
            self._known = known if known.may_be_it else None
            self.host.say(known.says)
        self._redraw()

    def _take_known(self, words: str) -> None:
        known = self._known
        if known is None or self.interview is None or words not in ("1", "2"):
            return
        self._known = None
        if words == "1":
            self._override = "it is that part, now from this car"
            self._keep(self.interview.answered(known.tag))
        else:
            self.host.say("Nothing was changed. Peel the label off and use the next one.")

    def _take_answer(self, interview: Interview, words: str) -> None:
        ask = interview.ask()
        if fold(words) == "drop" and ask.key in ("label", "position", "block", READY):
            self._drop(interview)
        elif ask.key == "label":
            self._take_label(interview, words)
        elif ask.key == "position":
            self._take_position_words(interview, words)
        elif ask.key == "kind":
            self._take_kind(interview, words)
        elif ask.key == "code" and nothing_in(words) in ("doubtful", "as above", "an answer"):
            self.host.say(f'"{words}" is no letter. Type it, or: not looked at, unreadable, label gone, never fitted.')
        elif ask.key in (READY, "block") and words:
            self.host.say("Enter on an empty line means yes; Up goes to an answer that is different.")
        elif ask.key == READY:
            self._log(interview)
        elif ask.key != "code" and is_no_name(words):
            self._take_nothing(interview, words)
        elif ask.choices and words:
            answer = chosen(words, ask.choices)
            if answer is None:
                self.host.say(f'"{words}" is none of: {", ".join(ask.choices)}.')
            else:
                self._keep(interview.answered(answer))
        else:
            self._keep(interview.answered(words))

    def _take_nothing(self, interview: Interview, words: str) -> None:
        """A word for nothing: ask what a doubtful one means."""

        def take(meant: str) -> None:
            taken = interview.meaning(cast("Nothing", meant), self._above.get(interview.at, ""))
            if isinstance(taken, str):
                self.host.say(taken)
            else:
                self._keep(taken)
            self._redraw()

        nothing = nothing_in(words)
        if nothing == "doubtful":
            self.host.say(f'"{words}" may mean three things.')
            self.host.ask(Question("Which is meant?", ("not known", "none", "as above")), take)
        else:
            take(str(nothing))

    def _take_label(self, interview: Interview, words: str) -> None:
        if words:
            self._not_a_label(words)
        elif interview.value("label"):
            self._keep(interview.answered(""))
        elif self._label_to_write:
            label, self._label_to_write = self._label_to_write, ""
            self._keep(interview.answered(label))
        else:
            self.read("next label", data.next_label, self._show_label)

    def _not_a_label(self, words: str) -> None:
        """`done` closes the strip-down; any other text is refused."""
        if fold(words) == "done":
            self._close()
            return
        try:
            parse_tag(words)
        except Refused as refused:
            self.host.say_refused(refused)

    def _close(self) -> None:
        by, car, left = self.sitting.by, self.car, len(self.standing.still_on) if self.standing else 0

        def close() -> None:
            self.write(
                lambda session: data.close(session, by, car),
                lambda _: f"{car}: strip-down closed. Ctrl+Z takes it back.",
                then=lambda _: self.host.close(),
            )

        ask = Question(f"Close the strip-down of the {car}? {left} still on.", enter="yes, Esc no")
        self.host.confirm(ask, close)

    def _drop(self, interview: Interview) -> None:
        """Drop the answers about this part, after showing them."""
        given = [
            f"{key} {answer.value}" for key, answer in interview.answers.items() if answer.value and key != "block"
        ]

        def dropped() -> None:
            self.host.drop_draft(draft_key(self.car))
            self.interview, self._override = begin(self.car), None
            self.host.say("The answers were dropped. Nothing was logged.")
            self._redraw()

        self.host.say(f"Answers so far: {', '.join(given) or 'none'}.")
        self.host.confirm(Question("Drop this part's answers?", enter="yes, Esc no"), dropped)

    def _show_label(self, tag: str) -> None:
        self._label_to_write = tag
        self.host.say(f"Write {tag} on the label and stick it on, then press Enter.")
        self._redraw()

    def _take_position_words(self, interview: Interview, words: str) -> None:
        if words:
            name_given("position", words)
        if self._unlisted and not words:
            name, self._unlisted = self._unlisted, ""
            self._take_position(interview, name, None)
        elif not words and interview.value("position"):
            self._keep(interview.answered(""))
        elif view := self._position_meant(words):
            self._take_position(interview, view.name, view)
        elif words.isdecimal():
            self.host.say(f"There is no number {words} in the list of what is still on.")
        elif words and (near := near_names(words, self.standing.names if self.standing else ())):
            self.host.ask_name(NearName("position", words, near), lambda name: self._take_named(interview, name))
        elif words and self.standing is not None and not self.standing.still_on:
            self._take_position(interview, words, None)  # no listed one can have been meant
        elif words:
            self._unlisted = words
            self.host.say(f'"{words}" is not on the list of this car.')
        else:
            self.host.say("No position is listed as still on. Type where the part came off.")

    def _position_meant(self, words: str) -> PositionView | None:
        """The position that an answer picks: by number, by words (the chosen one if they fit it), or the chosen one."""
        if words.isdecimal():
            return self._board.numbered(int(words))
        here = self._board.chosen
        if not words:
            return here
        narrowed = self._board.narrowed(words)
        return here if here in narrowed else next(iter(narrowed), None)

    def _take_named(self, interview: Interview, name: str) -> None:
        self._take_position(interview, name, self.standing.position(name) if self.standing else None)
        self._redraw()

    def _take_position(self, interview: Interview, name: str, view: PositionView | None) -> None:
        answered = replace(interview, at="position").answered(name)
        if view is not None and view.fitted_tag and view.fitted_tag != answered.value("label"):
            self.host.say(f"{view.fitted_tag} is on record there. If it is that part, press Esc and scan its label.")
        self._keep(answered)
        self.read("offer", lambda session: data.with_position(session, answered, view), self._offered)

    def _offered(self, interview: Interview) -> None:
        self._keep(replace(interview, at=interview.first_open()))
        self._redraw()

    def _take_kind(self, interview: Interview, words: str) -> None:
        name = chosen(words, data.kind_names(self.sitting.record.reference)) or words
        if is_no_name(name) or (not name and not interview.value("kind") and "kind" not in interview.offer):
            self.host.say("A part needs a kind, for example relay, pressure sensor, other.")
            return
        try:
            answered = interview.answered(name)
            self._keep(data.with_kind(answered, answered.value("kind"), self.sitting.record.reference))
        except Refused as refused:
            self.host.say_refused(refused)
            if refused.near:
                ask = Question("Which kind?", tuple(refused.near))
                self.host.ask(ask, lambda meant: self._take_kind(interview, meant))

    def _take_stays(self, stays: re.Match[str]) -> None:
        numbered = self._board.numbered(int(stays[1])) if stays[1] else None
        view = numbered or self._before_words or self._board.chosen
        if view is None:
            self.host.say("First choose the position that stays on, or type its number: 3 stays on.")
        elif stays[2].strip():
            self._note_stay(view.name, stays[2].strip())
        else:
            self._stays = view.name

    def _note_stay(self, position: str, why: str) -> None:
        if not why or is_no_name(why):
            self.host.say("Give the reason, for example: stud seized.")
            return
        self._stays = ""
        by, car = self.sitting.by, self.car

        self.write(
            lambda session: data.stays_on(session, by, car, position, why),
            lambda _: f"{position} stays on: {why}. Ctrl+Z takes it back.",
            then=lambda _: self.opened(),
        )

    def _log(self, interview: Interview) -> None:
        by, override, what = self.sitting.by, self._override, interview.value("kind") or "part"

        def message(logged: LoggedPart) -> str:
            warning = "".join(f" {each}." for each in logged.warnings)
            return f"{logged.sequence}, {what} {logged.tag}: logged. Ctrl+Z takes it back.{warning}"

        self.write(
            lambda session: data.log_part(session, by, interview, override),
            message,
            then=lambda _: self._next_part(),
            draft=draft_key(self.car),
        )

    def _next_part(self) -> None:
        if self.interview is not None:
            self._above = {key: answer.value for key, answer in self.interview.answers.items()}
        self._override, self.interview = None, begin(self.car)
        self.opened()

    def _keep(self, interview: Interview) -> None:
        """Take an answer, and save the draft at once."""
        self.interview = interview
        number = len(self.standing.came_off) + 1 if self.standing else 1
        answers = {key: [answer.value, answer.mark] for key, answer in interview.answers.items()}
        draft = Draft(draft_key(self.car), f"Part {number} off the {self.car}", interview.at, answers)
        if answers:
            self.host.save_draft(draft)
        self.host.show_foot()

    def _cares(self) -> tuple[tuple[str, str], ...]:
        kind = ""
        if self.interview is not None:
            kind = self.interview.value("kind") or self.interview.offer.get("kind", "")
        of_kind = data.care_of_kind(kind) if kind else ()
        unanswered = self.standing is not None and not self.standing.care_answered
        return (*of_kind, *(data.care_of_start() if unanswered else ()))

    def _redraw(self) -> None:
        self.set_class(self._at("position"), "-choosing")
        self._board.put(self.standing, self.interview, self._words, self._label_to_write)
