"""Strip: take a car apart, part by part, question by question."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from textual.app import ComposeResult

from inventory.cars import write_names
from inventory.cars.queries import PositionView
from inventory.errors import Refused
from inventory.labels.codes import CarSideCode
from inventory.store.words.nothing import is_no_name
from inventory.store.words.text import fold, opened
from inventory.teardown.actions import LoggedPart
from inventory.teardown.queries import Removed
from tui.away import Waiting, not_connected
from tui.data import strip as data
from tui.drafts import Draft, draft_key
from tui.interview import READY, Answer, Interview, begin
from tui.naming import Naming, naming
from tui.questions import Question
from tui.safe import plain
from tui.screens import make_view
from tui.screens.asks_position import AsksPosition
from tui.screens.car_side import take_car_side
from tui.screens.picture_offer import PictureOffer
from tui.sitting import Sitting
from tui.widgets.rows import RowList
from tui.words import many

if TYPE_CHECKING:
    pass

__all__ = ["Strip"]

_STAYS = re.compile(r"\s*(\d+)?\s*stays? on\b[\s:,]*(.*)", re.IGNORECASE)
_KEY = "off:"
#: How often the folder of pictures is looked into (s).
_LOOK_EVERY_S = 10.0


class Strip(AsksPosition):
    """One strip-down of one car."""

    def __init__(self, sitting: Sitting, car: str) -> None:
        super().__init__(sitting, car.removeprefix(_KEY))
        self.draft_key = draft_key(self.car)
        self._stays = ""
        self._known: data.KnownLabel | None = None
        self._override: str | None = None
        self._confirmed: Interview | None = None
        self._words = ""
        self._before_words: PositionView | None = None
        self._pictures = PictureOffer(self, self.car)

    def on_mount(self) -> None:
        """Look for new pictures now and then: they come over from a camera when they will."""
        self.set_interval(_LOOK_EVERY_S, self._pictures.look)

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
        if self._second is not None:
            return self._second.question
        if self._unlisted:
            return Question("A new position?", enter=f'"{self._unlisted}"')
        if self._at("position") and self.standing and not self.standing.still_on and not self._holds_position():
            return Question("Where on the car did it sit? Type the position")
        return (self._pictures.question if self._rests_at_label() else None) or self.asked()

    def _holds_position(self) -> bool:
        """Whether the position is answered, so that Enter keeps it."""
        return self.interview is not None and bool(self.interview.value("position"))

    def _rests_at_label(self) -> bool:
        """Whether a part's label is asked, and nothing else beside it."""
        return self._at("label") and self._known is None and not self._label_to_write

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
            "Without a list, two answers go on one line: maker, number; and plugs / mounts. Up changes one of them.",
            "What the position's list says is offered in one block. Enter says that you looked at it and it is so; Up "
            "goes to a single line that is different. Serial, code, seal, condition and damage are never offered: you "
            "must look at the part. From the last question, Up goes to note, bag, car side, what was moved or broke, "
            "route, port, bore, low spots and the other seals; or type it there by its name: broken stud. A hose that "
            "came off as one with its valve: scan the valve's label at the last question.",
            "A label C1 to C4 that you stick on plug or hose: scan it after the part's own label, and say what it is "
            "on. A label on no roll of this record may be another machine's, so that its tag could come twice.",
            "If a part will not come off, choose its position and type: stays on, and why; in the middle of a part it "
            "is that one. Esc or Backspace goes to the question before. Each answer is saved as a draft at once. To "
            "delete the draft, type drop at the label, position, block or last question. At the label, done closes "
            "the strip-down and list shows what belongs on the car.",
            "New pictures in your folder of pictures (Space D chooses it) are offered at the label, for the part that "
            "was logged last; Esc leaves them.",
            "If a part came off that place already, say how it can be: 1 to 5. A label scanned in mid-part is asked "
            "about: nothing of a part ends on another.",
            "A part that carries another label than it was logged with: open its card, then Space L.",
            "A position with a wrong name: rename NAME to NEW NAME. One made by mistake: mistake NAME, and why.",
        )

    def opened(self) -> None:
        """Read the state of the strip-down."""
        car, by = self.car, self.sitting.by
        self.read("standing", lambda session: data.strip_down_state(session, car, by), self._show_standing)
        self._pictures.look()

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
        elif self._second is not None and self.interview is not None:
            self._take_second(self.interview, self._second, words)
        elif self._rests_at_label() and self._pictures.take(words):
            pass
        elif self.interview is not None and (stays := _STAYS.match(words)):
            self._take_stays(stays)
        elif self._at("label", "position") and self.standing and (named := naming(words, self.standing.names)):
            self._name_anew(named)
        elif self.interview is not None:
            self.take_answer(self.interview, words)
        self.redraw()

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """Take the label for the part coming off; at other questions say or ask what it is."""
        self._words, self._known = "", None
        if self._at(READY, "as one") and self.standing and any(each.tag == tag for each in self.standing.came_off):
            self._ask_as_one(tag)
            return True
        car, at_label = self.car, self._at("label")

        def take(known: data.KnownLabel | None) -> None:
            if at_label:
                self._label(tag, known)
            else:
                self.midway(tag, known.what if known else "")

        self.read(
            "label",
            lambda session: data.label_on_record(session, tag, car),
            take,
            away=(lambda: None) if at_label else None,  # looked up when the part is logged
        )
        return True

    def scanned(self, text: str) -> str:
        """The name of a position is an answer only where the position is asked."""
        names = self.standing.names if self.standing else ()
        if not self._at("position") and fold(text) in map(fold, names):
            return f'Scanned "{text}", a position. It is no answer here.'
        return super().scanned(text)

    def car_side_read(self, code: CarSideCode) -> bool:
        """A label was stuck on what stays on the car."""
        take_car_side(self, code)
        return True

    def steer(self, key: str) -> None:
        """Choose a position while it is asked; else go up and down the form."""
        if key in ("tab", "shift+tab"):
            self.toggle_class("-other")
        elif self._at("position", "label"):
            self._board.on.steer(key)
        else:
            super().steer(key)

    def back(self) -> bool:
        """Go to the question before; at the label, leave the view."""
        if self._second is not None and self._second.other_asked:
            self._second = replace(self._second, other_asked=False)
            self.redraw()
            return True
        if self._stays or self._unlisted or self._known is not None or self._second is not None:
            self._stays, self._unlisted, self._known, self._second = "", "", None, None
            self.redraw()
            return True
        if self._rests_at_label() and self._pictures.leave():
            return True
        return super().back()

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap on a position picks it while it is asked; a tap on a part that came off opens its card."""
        if event.rows is self._board.off and isinstance(self._board.off.item, Removed):
            self.host.open_part(self._board.off.item.tag)
        elif event.rows is self._board.on and self._at("position"):
            self.take("")

    # The state of the strip-down.

    def _show_standing(self, standing: data.StripDownState | None) -> None:
        if standing is None:
            self.host.replace(make_view("strip", self.sitting))
            return
        self.standing = standing
        self.places = standing.places
        if self.interview is None:
            draft = self.host.draft(self.draft_key)
            if draft is not None:
                self._resume(draft)
                return
            self.interview = begin(self.car)
        self.redraw()

    def _resume(self, draft: Draft) -> None:
        """Continue a draft at the question where it stopped."""
        held = self.from_draft(draft)
        view = self.standing.position(held.value("position")) if self.standing else None
        resumed = data.resumed(self.reference(), held, view)
        self.interview = replace(self.offered(resumed), at=draft.stopped_at)
        self.host.say(f'{draft.what}: continued from the draft, at "{draft.stopped_at}".')
        self.redraw()

    # Answers.

    def _label(self, tag: str, known: data.KnownLabel | None) -> None:
        """A label was read: a free one, that of a part on this car, or that of another part."""
        interview = self.interview
        if interview is None:
            return
        self._label_to_write, self._override = "", None
        if known is None or known.here:
            self.host.say(f"Label {tag} read. Stick it on." if known is None else known.says)
            answered = interview.answered(tag)
            view = self.standing.position(known.position) if known and self.standing else None
            if view is not None:
                self._take_position(answered, view.name, view)
            else:
                self.keep(answered)
        else:
            self._known = known if known.may_be_it else None
            self.host.say(known.says)
        self.redraw()

    def _take_known(self, words: str) -> None:
        known = self._known
        if known is None or self.interview is None or words not in ("1", "2"):
            return
        self._known = None
        if words == "1":
            self._override = "it is that part, now from this car"
            self.keep(self.interview.answered(known.tag))
        else:
            self.host.say("Nothing was changed. Peel the label off and use the next one.")

    def _ask_as_one(self, tag: str) -> None:
        """A part that came off before was scanned at the last question: did the two come off as one?"""

        def take(answer: str) -> None:
            if answer == "yes" and self.interview is not None:
                answers = {**self.interview.answers, "as one": Answer(tag)}
                self.keep(replace(self.interview, answers=answers, at=READY))
                self.host.say(f"As one with {tag}: they are kept together until they are parted.")
            self.redraw()

        self.host.ask(Question(f"Came off as one with {tag}?", ("yes", "no")), take)

    def not_a_label(self, words: str) -> None:
        """`done` closes the strip-down, `list` shows what belongs on the car; any other text is refused."""
        if fold(words) == "done":
            self._close()
        elif fold(words) == "list":
            self.host.open(make_view("belongs", self.sitting, self.car))
        else:
            super().not_a_label(words)

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

    def _take_stays(self, stays: re.Match[str]) -> None:
        numbered = self._board.numbered(int(stays[1])) if stays[1] else None
        view = numbered or self._before_words or self._board.chosen
        if not stays[1] and not self._at("label", "position") and self.interview and self.standing:
            view = self.standing.position(self.interview.value("position"))  # the part that is asked about
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
            then=lambda _: self._stayed(position),
        )

    def _stayed(self, position: str) -> None:
        """A part stays on. If it is the one asked about, its answers go, and its label is for the next one."""
        interview = self.interview
        if interview is not None and interview.value("position") == position:
            label = interview.value("label")
            self.host.drop_draft(self.draft_key)
            self.begin_again()
            self.keep(begin(self.car).answered(label) if label else begin(self.car))
        self.opened()

    def _name_anew(self, named: Naming) -> None:
        """Rename a position, or take away one that was made by mistake."""
        by, car = self.sitting.by, self.car
        view = self._position_meant(named.name) if named.name.isdecimal() else None
        name = view.name if view is not None else named.name
        if named.new:
            self.write(
                lambda session: write_names.rename_position(session, by, car, name, named.new),
                lambda _: f"{name} is now {named.new}. Ctrl+Z takes it back.",
                then=lambda _: self.opened(),
            )
        else:
            self.write(
                lambda session: write_names.remove_position(session, by, car, name, named.why),
                lambda _: f"{name} is taken away. Ctrl+Z brings it back.",
                then=lambda _: self.opened(),
            )

    def write_part(self, interview: Interview) -> None:
        """Log the part."""
        self._confirmed = interview
        if self.host.is_away:
            self.host.record_away()
        else:
            self._log(interview)

    def _log(self, interview: Interview, first: str = "") -> None:
        """Log the part. `first`: what is said before its message."""
        by, override, what = self.sitting.by, self._override, interview.value("kind") or "part"
        number = self._number()

        def message(logged: LoggedPart) -> str:
            warning = "".join(f" {each}." for each in logged.warnings)
            return f"{first}{logged.shown}, {what} {logged.tag}: logged. Ctrl+Z takes it back.{warning}"

        self.write(
            lambda session: data.log_part(session, by, interview, override, number),
            message,
            then=lambda _: self.next_part(),
            draft=self.draft_key,
        )

    def next_part(self) -> None:
        """Go on with the next part, and read what is still on."""
        self.go_on()
        self.opened()

    def waiting(self) -> Waiting | None:
        """The answers about the part, and whether its last Enter was pressed."""
        held = self.interview
        if held is None:
            return None
        count = sum(bool(each.value) and key != "block" for key, each in held.answers.items())
        return Waiting(count, confirmed=held == self._confirmed)

    def record_back(self) -> None:
        """Log the part whose last Enter was pressed, once; what was only answered waits for that Enter."""
        held, waiting = self.interview, self.waiting()
        if held is None:
            self.opened()
            return
        self.keep(held)  # where its file was away too
        if waiting and waiting.confirmed and not self.host.line.value:
            counted = many(waiting.answers, "answer")
            self._log(held, f"Connected again. {counted} went over: ")
            return
        self._confirmed = None
        if self.host.view is self:
            ready = held.at == READY
            self.host.say(f"Connected again. {'The part is ready: Enter logs it.' if ready else 'Go on.'}")

    def was_refused(self, refused: Refused) -> None:
        """If a part came off the position meanwhile, ask again where this one came off."""
        if not not_connected(refused):
            self._confirmed = None
        if refused.code == "position-emptied" and self.interview is not None:
            self.keep(replace(self.interview, at="position"))
            self.host.say(f"{opened(refused.message)}. Nothing was changed. Give the position of this one again.")
            self.opened()
        super().was_refused(refused)

    def begin_again(self) -> None:
        """Begin with a part for which nothing is overridden yet."""
        super().begin_again()
        self._override = self._confirmed = None

    def what(self) -> str:
        """The number of the part, and the car."""
        return f"Part {self.standing.shown if self.standing else 1} off the {self.car}"

    def _number(self) -> int:
        return self.standing.number if self.standing else 1

    def _cares(self) -> tuple[tuple[str, str], ...]:
        kind = ""
        if self.interview is not None:
            kind = self.interview.value("kind") or self.interview.offer.get("kind", "")
        of_kind = data.care_of_kind(kind) if kind else ()
        unanswered = self.standing is not None and not self.standing.care_answered
        return (*of_kind, *(data.care_of_start() if unanswered else ()))

    def redraw(self) -> None:
        """Show the state of the strip-down and the form."""
        places = self._second is None or self._second.other_asked
        self.set_class(self._at("position") and places, "-choosing")
        rows = self._second.rows if self._second else ()
        self._board.put(self.standing, self.interview, self._words, self._label_to_write, rows)
