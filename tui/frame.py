"""The one screen: title row, view, care line, message row, input line, key line.

Keys arrive at the line and go straight to the view in front, in order, so that no view lags behind the keys.
The frame knows nothing of parts, cars or rules.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.app import ComposeResult
from textual.containers import Container, Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Static

from inventory.errors import NearName, Refused
from inventory.labels.codes import CarSideCode, car_sides_in
from inventory.parts.tags import parse as parse_tag
from inventory.store.days.clock import today
from inventory.store.words.text import opened
from tui.acts import Act, act_for, why_not
from tui.away import Away, LookedFor, not_connected
from tui.data.unfitting import after_acts, told
from tui.drafts import Draft
from tui.foot import NARROW_BELOW, asked, keys_shown, title_row
from tui.questions import A_NEW_ONE, NO, Question, agreed, chosen, which_name
from tui.safe import plain, shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.keyline import KeyLine
from tui.widgets.line import Line
from tui.widgets.menu import Menu
from tui.writing import Job, Wrote

if TYPE_CHECKING:
    from inventory.contradictions.queries import Named

__all__ = ["Frame", "wrong_tag"]

#: In the menu a letter counts only if no other character follows within this time (s): it may begin a scan.
_LETTER_WAITS_S = 0.06
_TAKEN = (
    "Another browser of yours on this machine has your drafts since {}. This one keeps none on the disk: what is half "
    "answered here goes when you leave."
)
#: Slow work that nobody waits for starts when no key was pressed for this long (s): an import in the background
#: doubles the time until the rows of a new view are shown.
_REST_S = 0.3


def _key_of(view: View) -> str:
    """Under what a view's waiting text is kept: the key of its draft, so that it is there when that is resumed."""
    return str(getattr(view, "draft_key", "") or id(view))


def wrong_tag(text: str) -> Refused | None:
    """The refusal for a text that looks like a tag but has a wrong check character; else None."""
    try:
        parse_tag(text)
    except Refused as refused:
        return refused if refused.code == "tag-check" else None
    return None


#: An act that takes longer than this says that it is still being written. Seconds.
_SILENT_S = 1.0
_STILL = "Still being written; the result will be shown here."


@dataclass(frozen=True)
class _Asked:
    """A question over the view's own: one of its numbered answers, or Enter for yes if it has none; Esc is no."""

    question: Question
    answered: Callable[[str], None]


class Frame(Screen[None]):
    """The frame with its stack of views; Today is at the bottom and is never closed."""

    AUTO_FOCUS = "#line"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (NARROW_BELOW, "-middle"), (150, "-wide")]  # noqa: RUF012 - as Screen has it

    def __init__(self, sitting: Sitting) -> None:
        super().__init__()
        self.sitting = sitting
        self.views: list[View] = []
        self.line = Line()
        self._job: Job | None = None
        self.waiting_tag: str | None = None
        self._texts: dict[str, str] = {}
        self._taken: tuple[View, Question, str] | None = None
        self._waiting: list[Callable[[], None]] = []
        self._resuming = False
        self._resting: Timer | None = None
        self._asked: _Asked | None = None
        self._away = Away(self, sitting.record)
        self._menu = Menu()
        self._body = Container(self._menu, id="body")
        self._keys = KeyLine()
        self._said = Static(id="said")
        self._care = Static(id="care")
        self._where = Static(id="where")
        self._question = Static(id="question")

    def compose(self) -> ComposeResult:
        """The rows, from the top."""
        yield self._where
        yield Static(Content("\N{BOX DRAWINGS LIGHT HORIZONTAL}" * 400), classes="rule")
        yield self._body
        yield self._care
        yield self._said
        with Horizontal(id="foot"):
            yield self._question
            yield self.line
        yield self._keys

    def on_mount(self) -> None:
        """Open Today."""
        self.step(lambda: self.open(make_view("today", self.sitting)))
        if taken := self.sitting.drafts.taken:
            self.say(_TAKEN.format(taken))

    def on_resize(self) -> None:
        """Redraw the rows at the new width."""
        if self.views:
            self.call_after_refresh(self.show_foot)

    # Views.

    @property
    def view(self) -> View:
        """The view in front."""
        return self.views[-1]

    def open(self, view: View) -> None:
        """Show a view in front of the others."""
        if self.views:
            self.view.display = False
        self.views.append(view)
        self._body.mount(view)
        view.opened()
        self._bring_text_back()
        self.show_foot()

    def replace(self, view: View) -> None:
        """Show a view instead of the one in front: going back skips that one."""
        gone = self.views.pop()
        gone.remove()
        self.views.append(view)
        self._body.mount(view)
        view.opened()
        self.show_foot()

    def close(self) -> None:
        """Close the view in front; the one behind it is read again."""
        if len(self.views) == 1:
            return
        gone = self.views.pop()
        gone.remove()
        self.view.display = True
        self.view.opened()
        self._bring_text_back()
        self.show_foot()

    def go_to(self, name: str, of: str | None = None) -> None:
        """Close all views but Today, and open the named view. `of`: the part, car or draft it is about."""
        while len(self.views) > 1:
            gone = self.views.pop()
            gone.remove()
        if name == "today":
            self.view.display = True
            self.view.opened()
        else:
            self.open(make_view(name, self.sitting, of))
        self.show_foot()

    def do_for_part(self, name: str) -> None:
        """Open the named view for the part in front, if there is one."""
        self.open(make_view(name, self.sitting, self.view.part_tag()))

    def open_part(self, tag: str) -> None:
        """Open a part's card."""
        self.open(make_view("card", self.sitting, tag))

    # Input from the line.

    def line_changed(self, text: str) -> None:
        """The text on the line changed; with the menu open, a single letter is an act."""
        self._key_pressed()
        if self._menu.display:
            if len(text) == 1:
                self.set_timer(_LETTER_WAITS_S, lambda: self._letter(text))
            elif text:
                self.show_menu(False)
        if self._asked is None and not self._menu.display and self.views and not self._waiting:
            self.step(lambda: self.view.line_changed(text))

    def take(self, text: str) -> None:
        """Enter was pressed by hand, with this text on the line."""
        self.enqueue(lambda: self._take(text))

    def steer(self, key: str) -> None:
        """A key was pressed on an empty line."""
        self._key_pressed()
        if key == "escape":
            self.back()
        else:
            self.enqueue(lambda: self._steer(key))

    def enqueue(self, step: Callable[[], None]) -> None:
        """Do a step now, or after the reading or writing in progress: keys keep their order."""
        self._waiting.append(step)
        self.resume()

    def resume(self) -> None:
        """Do the waiting steps, until one starts reading or writing."""
        if self._resuming:
            return
        self._resuming = True
        waited = False
        while self._waiting and self._job is None and not self.view.is_waiting:
            self.step(self._waiting.pop(0))
            waited = True
        self._resuming = False
        if waited and self.is_away and not self._job and not self._said.content:
            self.say(self._what_waits())
        if waited and not self._waiting and self.line.value:
            self.line_changed(self.line.value)
        self.show_foot()

    def when_idle(self, then: Callable[[], None]) -> None:
        """Do slow work once no key is pressed for a while."""
        if self._resting is not None:
            self._resting.stop()
        self._resting = self.set_timer(_REST_S, then)

    def _key_pressed(self) -> None:
        """A key was pressed: work that waits for a pause waits longer."""
        if self._resting is not None:
            self._resting.reset()

    def step(self, doing: Callable[[], None]) -> None:
        """Do a step. If it is refused, say so and drop the keys pressed after it: they no longer fit."""
        try:
            doing()
        except Refused as refused:
            self._waiting.clear()
            self.say_refused(refused)
            if self.views:
                self._wait_for_record(self.view, refused)
                self._bring_text_back()

    def answered(self, view: View, then: Callable[[], None], problem: Exception | None, *, act: bool = False) -> None:
        """A read for a view ended: do the view's next step, or show the refusal."""
        if problem is None:
            self.step(then)
        elif isinstance(problem, Refused):
            refused = problem
            self._waiting.clear()
            self.say_refused(refused, act=act)
            self.step(lambda: view.was_refused(refused))
            self._wait_for_record(view, refused)
        else:
            raise problem
        self._bring_text_back()
        self.show_foot()
        self.resume()

    def _wait_for_record(self, view: View, refused: Refused) -> None:
        """Keep the answer that the record could not take, and say where those before it are."""
        if not_connected(refused):
            self._away.begin()
        elif refused.code != "record-busy":
            return
        if view is not self.view:
            return
        if self._taken is not None and self._taken[:2] == (view, view.question()):
            self._texts[_key_of(view)] = self._taken[2]
        if self.is_away and (says := self._what_waits()):
            self.say(says)

    @property
    def is_away(self) -> bool:
        """Whether the record was away when it was last asked."""
        return bool(self._away.since)

    def record_away(self) -> None:
        """Say that the record is away and what waits here; look for it now and then, and at once."""
        self._away.begin()
        self.say(self._what_waits())
        self._away.look()

    def _what_waits(self) -> str:
        """What is said while the record is away: what waits at the view in front; "" if nothing does."""
        key = getattr(self.view, "draft_key", "")
        draft = self.draft(key) if key else None
        waiting = self.view.waiting()
        kept = draft is not None and not self.sitting.drafts.taken
        return self._away.says(waiting, kept=kept) if waiting or draft else ""

    def on_looked_for(self, event: LookedFor) -> None:
        """The record is back: say so once, and let each view go on."""
        event.stop()
        if not event.there or not self.is_away:
            return
        self._away.end()
        self.say("Connected again.")
        for view in self.views:
            self.enqueue(view.record_back)

    def _take(self, text: str) -> None:
        self.show_menu(False)
        self.say("")
        if self.waiting_tag:
            tag, self.waiting_tag = self.waiting_tag, None
            self._texts[_key_of(self.view)] = text
            self._tag_read(tag, by_hand=True)
            self._bring_text_back()
        elif self._asked is not None:
            self._answer(self._asked, text)
        else:
            self._taken = self.view, self.view.question(), text
            self.view.take(text)

    def _answer(self, asked: _Asked, text: str) -> None:
        choices = asked.question.choices
        answer = chosen(text, choices) if choices else agreed(text)
        if answer is None:
            says = f"Type 1 to {len(choices)}; " if choices else "Enter alone is yes; "
            self.say(f"{says}Esc goes back and changes nothing.")
            return
        self._asked = None
        if answer == NO and not choices:
            self.say("Nothing was changed.")
            self._bring_text_back()
            return
        asked.answered(answer)
        self._bring_text_back()

    def _bring_text_back(self) -> None:
        """Put the text that waits at the view in front back on the line, once nothing is asked over it."""
        if self._asked is None and not self.view.is_waiting and not self.line.value:
            self.line.put(self._texts.pop(_key_of(self.view), ""))

    def _steer(self, key: str) -> None:
        if key == "space":
            self.show_menu(not self._menu.display)
        elif key == "question_mark":
            self.show_menu(False)
            self.open(make_view("help", self.sitting, self.view))
        else:
            self.show_menu(False)
            self._drop_remark()
            self.view.steer(key)

    def press(self, key: str) -> None:
        """A word of the key line was tapped."""
        if key == "enter":
            self.line.press_enter()
        elif key == "escape" and self.line.value:
            self.line.put("")
        else:
            self.steer(key)

    def back(self) -> None:
        """Go one step back, at once. Nothing is lost: unfinished answers are a draft."""
        self._waiting.clear()
        self.step(self._back)
        if self._job is not None and self._job.view not in self.views:
            self.say(_STILL)
        self.show_foot()

    def _back(self) -> None:
        self._drop_remark()
        if self._menu.display:
            self.show_menu(False)
        elif self._asked is not None:
            self._asked = None
            self.say("Nothing was changed.")
            self._bring_text_back()
        elif self._job is not None and self._job.view is self.view:
            self.close()  # what is being written is answered: no step of it can be taken back now
        elif not self.view.back():
            if len(self.views) == 1:
                self.say("This is the first screen. Ctrl+Q leaves; drafts are kept.")
            self.close()

    def tag_read(self, tag: str, *, by_hand: bool) -> None:
        """A whole tag was typed, scanned or pasted."""
        self.enqueue(lambda: self._tag_read(parse_tag(tag), by_hand=by_hand))

    def _tag_read(self, tag: str, *, by_hand: bool) -> None:
        self.show_menu(False)
        self.say("")
        self._asked = None
        if not self.view.tag_read(tag, by_hand=by_hand):
            self.open_part(tag)

    def tag_into_answer(self, tag: str) -> None:
        """A tag was scanned in the middle of an answer; it is not part of the answer."""
        self.waiting_tag = parse_tag(tag)
        self.say(f"Label {self.waiting_tag} read. Enter opens it, your text waits. Left puts it into the text.")

    def car_side_read(self, code: CarSideCode) -> None:
        """A label for the car side was typed or scanned: the view takes it, or its part is opened."""

        def take() -> None:
            self.show_menu(False)
            self.say("")
            if not self.view.car_side_read(code):
                self._asked = None
                self.open_part(code.tag)

        self.enqueue(take)

    def place_read(self, text: str, *, by_hand: bool) -> None:
        """A text with the form of a place's label: the view takes it; else, typed, it is text as any other."""

        def take() -> None:
            self.show_menu(False)
            self.say("")
            if self.view.place_read(text, by_hand=by_hand):
                return
            if by_hand:
                self._take(text)
            else:
                self.app.bell()
                self.say(f"Scanned {text}, the label of a place. No place is asked here.")

        self.enqueue(take)

    def unknown_scan(self, text: str) -> None:
        """Text was scanned that is not a tag: ring the bell and leave it on the line, if the view knows no better."""
        if named := car_sides_in(text):
            self.say(f"{named[-1][0].printed} is in the answer. Enter takes it.")
            return
        self.app.bell()
        if says := self.view.scanned(text):
            self.line.put("")
            self.say(says)
            return
        if wrong := wrong_tag(text):
            self.say_refused(wrong)
            return
        self.say(f'Scanned "{text}": not a label of this record. It is on the line; Enter takes it as it is.')

    # Acts.

    def reason(self, act: Act) -> str:
        """Why an act cannot be done now; "" if it can."""
        return why_not(act, has_part=self.view.part_tag() is not None)

    def do(self, act: Act) -> None:
        """Do an act, or say why it cannot be done."""
        if why := self.reason(act):
            self.say(f"{act.words}: {why}.")
        else:
            self.step(lambda: act.run(self))
        self.show_foot()

    def take_back(self) -> None:
        """Open the view that takes back the user's last act of this sitting."""
        self.enqueue(self._take_back)

    def _take_back(self) -> None:
        if self.view.where() != "Take back":
            self.show_menu(False)
            self.line.put("")  # what stood there is no reason for taking back
            self.open(make_view("take back", self.sitting))

    def confirm(self, question: Question, yes: Callable[[], None]) -> None:
        """Ask a question on the line; Enter is yes, Esc is no."""
        self.ask(question, lambda _: yes())

    def ask(self, question: Question, answered: Callable[[str], None]) -> None:
        """Ask a question with numbered answers on the line; Esc leaves it unanswered."""
        self._asked = _Asked(question, answered)
        self.show_foot()

    def show_menu(self, wanted: bool) -> None:
        """Show or hide the menu of Space."""
        if wanted == self._menu.display:
            return
        self.view.display = not wanted
        self._menu.display = wanted
        if wanted:
            self._menu.put(self.reason, self.size.width)

    def _letter(self, letter: str) -> None:
        """Do the act of a menu letter, unless more characters followed: then it was a scan."""
        if not self._menu.display or self.line.value != letter:
            return
        act = act_for(letter)
        self.line.put("")
        self.show_menu(False)
        if act is None:
            self.say(f"There is no act {plain(letter).upper()}. Space shows the letters.")
        else:
            self.do(act)

    # Acts in progress, and drafts.

    @property
    def writing(self) -> bool:
        """Whether an act is being written now."""
        return self._job is not None

    def write(
        self,
        view: View,
        job: Callable[[], Any],
        message_of: Callable[[Any], str],
        *,
        then: Callable[[Any], None] | None = None,
        draft: str = "",
    ) -> None:
        """Do one act in the background and show its outcome, whichever view is then in front; see `Host.write`."""
        self._job = this = Job(view, job, message_of, then, draft)
        self.set_timer(_SILENT_S, lambda: self.say(_STILL) if self._job is this else None)

        def run() -> None:
            answer, problem, before = None, None, len(self.sitting.record.acts)
            unfitting: tuple[Named, ...] = ()
            try:
                answer = job()
                unfitting = after_acts(self.sitting.record, self.sitting.record.acts[before:])
            except Exception as caught:  # handed to the thread that owns the screen
                problem = caught
            self.post_message(Wrote(answer, problem, unfitting))

        self.run_worker(run, thread=True, exit_on_error=True, group="write")

    def on_wrote(self, event: Wrote) -> None:
        """The act was written or refused: say so, and do the view's next step if the view is still open."""
        event.stop()
        job, self._job = self._job, None
        assert job is not None
        stands = job.view in self.views
        if stands and isinstance(event.problem, NearName):
            self._ask_again(job, event.problem)
            return
        if event.problem is not None:
            view = job.view if stands else self.view
            self.answered(view, lambda: None, event.problem, act=True)
            return
        self._away.end()
        if job.draft:
            self.drop_draft(job.draft)
        if stands and job.then is not None:
            then = job.then
            self.step(lambda: then(event.answer))
        elif not stands:
            self.step(self.view.opened)
        asks = stands and job.view.asks_what_settles
        self.say(job.message_of(event.answer) + ("" if asks else told(event.unfitting)))
        if event.unfitting and asks:
            self._waiting.clear()  # keys pressed meanwhile were no answer to this
            thing = event.unfitting[0].tag
            about = tuple(one.contradiction.about for one in event.unfitting if one.tag == thing)
            self.open(make_view("settle", self.sitting, (thing, about)))
        self.show_foot()
        self.resume()

    def _ask_again(self, job: Job, asked: NearName) -> None:
        """Ask which name was meant, then write again."""
        self._waiting.clear()
        job.view.was_refused(asked)
        self.ask_name(asked, lambda _: self.write(job.view, job.work, job.message_of, then=job.then, draft=job.draft))

    def ask_name(self, asked: NearName, then: Callable[[str], None]) -> None:
        """Ask which name is meant by one that looks misspelt; the answer holds for this sitting."""

        def answered(answer: str) -> None:
            self.sitting.meant(asked, answer)
            then(asked.name if answer == A_NEW_ONE else answer)

        self.say(f"{opened(asked.message.partition(';')[0])}. Nothing was changed.")
        self.ask(which_name(asked.what, asked.near), answered)

    def draft(self, key: str) -> Draft | None:
        """The draft with this key. None if there is none or if it cannot be read; then a message says so."""
        return next((draft for draft in self.drafts() if draft.key == key), None)

    def drafts(self) -> tuple[Draft, ...]:
        """All drafts, the last first. None if they cannot be read; then a message says so."""
        found: list[Draft] = []
        self.step(lambda: found.extend(self.sitting.drafts.all()))
        return tuple(found)

    def save_draft(self, draft: Draft) -> None:
        """Save a draft. If the disk does not take it, a message says so; the answers stay on the screen."""
        if self.sitting.record.is_gone:
            self._away.begin()  # no folder is made in the place of a disk that went away
        else:
            self.step(lambda: self.sitting.drafts.save(draft))

    def drop_draft(self, key: str) -> None:
        """Delete a draft that was finished or dropped."""
        self.step(lambda: self.sitting.drafts.drop(key))

    # The rows around the view.

    def say(self, words: str) -> None:
        """Show what just happened, on the message row, until the next act."""
        self._said.update(shown(words))

    def _drop_remark(self) -> None:
        """A remark on the question just left goes; what an act wrote, and how to take it back, stays."""
        if "Ctrl+Z" not in str(self._said.content):
            self.say("")

    def say_refused(self, refused: Refused, *, act: bool = False) -> None:
        """Show a refusal and what to do; for an `act`, also that nothing was changed, if that is true."""
        says = f"{opened(refused.message).rstrip('.')}."
        safe = " Nothing was changed." if act and refused.unchanged else ""
        self.say(f"{says}{safe} {opened(refused.hint or '')}".rstrip())

    def show_foot(self) -> None:
        """Update all rows around the view in front."""
        if not self.is_mounted or not self.views:
            return
        width = self.size.width
        row = title_row(self.view.where(), self.view.middle(), self.sitting.by, today(), width)
        self._put(self._where, Content(row))
        self._put(self._care, shown(self.view.care()))
        question = self._asked.question if self._asked else self.view.question()
        self._put(self._question, Content(asked(question, width)))
        self._keys.put(keys_shown(self.view.keys(), self.view.key_words(), width), 1 if width < NARROW_BELOW else 2)

    def _put(self, row: Static, words: Content) -> None:
        """Update a row only if its text changes: each update lays out the whole screen, which takes 5 ms."""
        if row.content != words:
            row.update(words)
