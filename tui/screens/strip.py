"""Strip: take a car apart, part by part, question by question."""

from __future__ import annotations

import re
from dataclasses import replace

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from inventory.cars.queries import PositionView
from inventory.errors import Refused
from inventory.store.text import fold
from inventory.teardown.actions import Logged
from inventory.teardown.queries import Removed
from tui.desks import strip as desk
from tui.drafts import Draft
from tui.interview import READY, Answer, Interview, begin
from tui.questions import Question, chosen
from tui.safe import crop, plain, shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.form import form_rows
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["Strip", "draft_key"]

_STAYS = re.compile(r"\s*(\d+)?\s*stays? on\b[\s:,]*(.*)", re.IGNORECASE)
_LEGEND = " = taken over and looked at   + your own\n > asked now    . still to come"


def draft_key(car: str) -> str:
    """The key of the draft of a part off this car."""
    return f"off:{car}"


class Strip(View):
    """One strip-down. Without a car it asks which."""

    DEFAULT_CSS = """
    Strip > Horizontal { height: 1fr; }
    Strip .halves { width: 37; height: 1fr; }
    Strip .form { width: 1fr; height: 1fr; }
    Strip .title { height: 1; text-style: bold; text-wrap: nowrap; text-overflow: ellipsis; }
    Strip .on { height: 3fr; }
    Strip .off { height: 2fr; }
    Strip .legend { height: 2; color: $text-muted; }
    Strip .gap { height: 1; }
    """

    def __init__(self, sitting: Sitting, car: str = "") -> None:
        super().__init__(sitting)
        self.car = car.removeprefix("off:")
        self.standing: desk.Standing | None = None
        self.interview: Interview | None = None
        self._cars: tuple[desk.CarLine, ...] = ()
        self._asks_care = False
        self._new_car = False
        self._unlisted = ""
        self._stays = ""
        self._known: desk.KnownLabel | None = None
        self._override: str | None = None
        self._words = ""
        self._shown_label = ""
        self._before_words: object = None
        self._on = RowList(self._draw_on, classes="on")
        self._off = RowList(self._draw_off, classes="off")
        self._off.steered = False
        self._form = RowList(lambda row, _: row if isinstance(row, Content) else Content(""))
        self._form.steered = False
        self._on_title = Static(classes="title")
        self._off_title = Static(classes="title")
        self._form_title = Static(classes="title")
        self._why = Static(classes="why beside")

    def compose(self) -> ComposeResult:
        """Still on and came off at the left, the part at the right, the question explained beside it."""
        with Horizontal():
            with Vertical(classes="halves"):
                yield self._on_title
                yield self._on
                yield self._off_title
                yield self._off
            yield Static(Content("\n".join("\N{BOX DRAWINGS LIGHT VERTICAL}" * 200)), classes="upright between")
            with Vertical(classes="form"):
                yield self._form_title
                yield self._form
                yield Static(Content(_LEGEND), classes="legend")
            yield self._why

    # What the frame asks.

    def where(self) -> str:
        """The car."""
        return f"Strip: {self.car}" if self.car else "Strip"

    def middle(self) -> str:
        """How many are off and on."""
        now = self.standing
        return f"{len(now.came_off)} off, {len(now.still_on)} still on" if now else ""

    def question(self) -> Question:
        """The open question."""
        if not self.car:
            return Question("Which car? its number, or a new name:")
        if self._asks_care:
            return Question("Battery off (earthed lead first), on stands, fuel line relieved? In words:", enter="later")
        if self._stays:
            return Question(f"{self._stays} stays on. Why?")
        if self._known is not None:
            return Question("", ("it is that part, now from this car", "wrong label"))
        if self._unlisted:
            return Question("A new position?", enter=f'"{self._unlisted}"')
        if self.interview is None:
            return Question("A moment:")
        ask = self.interview.ask()
        return Question(ask.words, ask.choices, ask.enter)

    def care(self) -> str:
        """The worst care of taking off this kind, or that of the beginning while it is unanswered."""
        cares = self._cares()
        return cares[0][0] if cares else ""

    def care_in_full(self) -> tuple[str, ...]:
        """The same with their sources."""
        return tuple(full for _, full in self._cares())

    def explains(self) -> tuple[str, ...]:
        """How a part is logged."""
        return (
            "The label goes on the part before the part goes into the box: scan it (or type it; Enter alone shows one to "
            "write by hand), stick it on, go on. Then the position: its number, a few letters of it, or a new name.",
            "What the position's list says is offered in one block: Enter takes it as listed and looked at, Up goes to a "
            "single line to write your own. Serial, code, seal, condition and damage are never offered: they are what "
            "you see on this part. From the last question, Up reaches car side, bag, note and the other seals.",
            'Something will not come off: "stays on" and why, while its position is chosen. Esc or Backspace steps to '
            "the question before. Every answer is kept as a draft at once.",
        )

    def opened(self) -> None:
        """Read how the strip-down stands, or which cars there are."""
        if self.car:
            self._read_standing()
        else:
            self.read("cars", desk.cars_to_strip, self._show_cars)

    def line_changed(self, text: str) -> None:
        """Narrow the list of what is still on while its position is asked."""
        if not self._words and text:
            self._before_words = self._on.item
        self._words = text
        if not self.car or (self._at("position") and not text.strip().isdecimal() and not _STAYS.match(text)):
            self._fill_on()

    def take(self, text: str) -> None:
        """An answer."""
        self._words = ""
        words = plain(text).strip()
        if not self.car:
            self._take_car(words)
        elif self._asks_care:
            self._begin(words)
        elif self._stays:
            self._note_stay(self._stays, words)
        elif self._known is not None:
            self._take_known(words)
        elif self.interview is not None and (stays := _STAYS.match(words)) and self._at("label", "position"):
            self._take_stays(stays)
        elif self.interview is not None:
            self._take_answer(self.interview, words)
        self._redraw()

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """A label for the part that comes off; elsewhere a label goes to its part."""
        self._words = ""
        if not self._at("label") or self._known is not None:
            return False
        car = self.car
        self.read(
            "label", lambda session: desk.label_on_record(session, tag, car), lambda known: self._label(tag, known)
        )
        return True

    def steer(self, key: str) -> None:
        """Choose a position while it is asked; otherwise go up and down the form."""
        if not self.car or self._at("position", "label"):
            if key in ("tab", "shift+tab"):
                self.toggle_class("-other")
            else:
                self._on.steer(key)
        elif self.interview is not None and key in ("up", "down"):
            self._keep(self.interview.stepped(-1 if key == "up" else 1))
        elif key in ("tab", "shift+tab"):
            self.toggle_class("-other")
        self._redraw()

    def back(self) -> bool:
        """The question before; from the label, out."""
        if self._stays or self._unlisted or self._known is not None:
            self._stays, self._unlisted, self._known = "", "", None
        elif self._asks_care:
            self._asks_care, self.car = False, ""
            self.opened()
        elif self.interview is not None and not self._at("label"):
            self._keep(self.interview.back())
        else:
            return False
        self._redraw()
        return True

    def on_row_list_tapped(self, event: RowList.Tapped) -> None:
        """A tap on a position takes it where it is asked; one on a part that came off shows it."""
        if event.rows is self._off and isinstance(self._off.item, Removed):
            self.frame.open_part(self._off.item.tag)
        elif event.rows is self._on and (not self.car or self._at("position")):
            self.take("")
            self.frame.show_foot()

    def on_resize(self) -> None:
        """Draw at the new width."""
        self.call_after_refresh(self._redraw)

    # Which car.

    def _show_cars(self, cars: tuple[desk.CarLine, ...]) -> None:
        self._cars = cars
        self._redraw()

    def _take_car(self, words: str) -> None:
        names = tuple(car.name for car in self._cars)
        item = self._on.item
        if words.isdecimal():
            name = chosen(words, names)
            if name is None:
                self.frame.say(f"There is no {words} here.")
                return
        elif words and isinstance(item, desk.CarLine) and fold(words) in fold(item.name):
            name = item.name
        elif words:
            name = words
        elif isinstance(item, desk.CarLine):
            name = item.name
        else:
            self.frame.say("Type what people call the car, for example Green tourer.")
            return
        self._new_car = name not in names
        self.car = name
        self._words = ""
        known = next((car for car in self._cars if car.name == name), None)
        if known is not None and known.since:
            self._read_standing()
        else:
            self._asks_care = True

    def _begin(self, care: str) -> None:
        by, car, new = self.sitting.by, self.car, self._new_car
        self.write(lambda session: desk.begin_on(session, by, car, care, new=new), lambda _: self._begun(car))

    def _begun(self, car: str) -> None:
        self._asks_care = False
        self.frame.say(f"{car}: strip-down begun. Ctrl+Z takes it back.")
        self._read_standing()

    def _read_standing(self) -> None:
        car = self.car
        self.read("standing", lambda session: desk.still_standing(session, car), self._show_standing)

    def _show_standing(self, standing: desk.Standing | None) -> None:
        if standing is None:
            self._asks_care = True
            self._redraw()
            return
        self.standing = standing
        if self.interview is None:
            draft = self.sitting.drafts.get(draft_key(self.car))
            if draft is not None:
                self._resume(draft)
                return
            self.interview = begin(self.car)
        self._redraw()

    def _resume(self, draft: Draft) -> None:
        """Open where it stopped, on the question, with the same car and label."""
        answers = {
            key: Answer(value, "=" if mark == "=" else "+" if mark == "+" else "")
            for key, (value, mark) in draft.answers.items()
        }
        held = Interview(self.car, draft.stopped_at, answers)
        view = self.standing.position(held.value("position")) if self.standing else None
        kind = held.value("kind")

        def offered(session: object) -> Interview:
            told = desk.with_position(session, held, view)  # type: ignore[arg-type]
            return desk.with_kind(told, kind) if kind else told

        def show(told: Interview) -> None:
            self.interview = replace(told, at=draft.stopped_at)
            self.frame.say(f'{draft.what} goes on where it stopped, at "{draft.stopped_at}".')
            self._redraw()

        self.read("resume", offered, show)

    # Answers.

    def _at(self, *keys: str) -> bool:
        return self.interview is not None and self.interview.at in keys

    def _label(self, tag: str, known: desk.KnownLabel | None) -> None:
        """A label was read: unused, on the part on record here, or on something else."""
        interview = self.interview
        if interview is None:
            return
        if known is None or known.here:
            self.frame.say(f"Label {tag} read. Stick it on." if known is None else known.says)
            told = interview.answered(tag)
            view = self.standing.position(known.position) if known and self.standing else None
            if view is not None:
                self._take_position(told, view.name, view)
            else:
                self._keep(told)
        else:
            self._known = known if known.on_this_car else None
            self.frame.say(known.says)
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
            self.frame.say("Nothing was changed. Peel the label off and take the next one.")

    def _take_answer(self, interview: Interview, words: str) -> None:
        ask = interview.ask()
        if ask.key == "label":
            self._take_label(words)
        elif ask.key == "position":
            self._position_named(interview, words)
        elif ask.key == READY:
            if words:
                self.frame.say("Enter on an empty line logs it; Up changes an answer.")
            else:
                self._log(interview)
        elif ask.key == "kind":
            self._take_kind(interview, words)
        elif ask.key == "block" and words:
            self.frame.say("Enter takes the block as listed; Up goes to the line that is different.")
        elif ask.choices and words:
            answer = chosen(words, ask.choices)
            if answer is None:
                self.frame.say(f'"{words}" is none of: {", ".join(ask.choices)}.')
            else:
                self._keep(interview.answered(answer))
        else:
            self._keep(interview.answered(words))

    def _take_label(self, words: str) -> None:
        if words:
            self.frame.say(f'"{words}" is no label: a letter, four signs and a check, like K4127-7. Read it again.')
            return
        if self._shown_label and self.interview is not None:
            label, self._shown_label = self._shown_label, ""
            self._keep(self.interview.answered(label))
            return
        self.read("next label", desk.next_label, self._show_label)

    def _show_label(self, tag: str) -> None:
        self._shown_label = tag
        self.frame.say(f"Write {tag} on the part, then Enter.")
        self._redraw()

    def _position_named(self, interview: Interview, words: str) -> None:
        views = self._narrowed("")
        if words.isdecimal():
            if not 1 <= int(words) <= len(views):
                self.frame.say(f"There is no {words} still on.")
                return
            view = views[int(words) - 1]
        elif words:
            narrowed = self._narrowed(words)
            here = self._on.item
            view = here if isinstance(here, PositionView) and here in narrowed else narrowed[0] if narrowed else None
        else:
            item = self._on.item
            view = item if isinstance(item, PositionView) else None
        if self._unlisted and not words:
            name, self._unlisted = self._unlisted, ""
            self._take_position(interview, name, None)
        elif view is not None:
            self._take_position(interview, view.name, view)
        elif words:
            self._unlisted = words
            self.frame.say(f'"{words}" is not on the list of this car.')
        else:
            self.frame.say("Nothing is listed as still on. Type where it came off.")

    def _take_position(self, interview: Interview, name: str, view: PositionView | None) -> None:
        told = replace(interview, at="position").answered(name)
        if view is not None and view.fitted_tag and view.fitted_tag != told.value("label"):
            self.frame.say(f"{view.fitted_tag} is on record there. If that is its label, Esc and scan it instead.")
        self._keep(told)
        self.read("offer", lambda session: desk.with_position(session, told, view), self._offered)

    def _offered(self, interview: Interview) -> None:
        self._keep(replace(interview, at=interview.first_open()))
        self._redraw()

    def _take_kind(self, interview: Interview, words: str) -> None:
        name = chosen(words, desk.kind_names()) or words
        if not name:
            if interview.value("kind") or "kind" in interview.offer:
                self._keep(interview.answered(""))
            else:
                self.frame.say("A part needs a kind, for example relay, pressure sensor, other.")
            return
        try:
            self._keep(desk.with_kind(interview.answered(name), name))
        except Refused as refused:
            self.frame.say_refused(refused)

    def _take_stays(self, stays: re.Match[str]) -> None:
        views = self._narrowed("")
        item: object = self._before_words or self._on.item
        if stays[1] and 1 <= int(stays[1]) <= len(views):
            item = views[int(stays[1]) - 1]
        if not isinstance(item, PositionView):
            self.frame.say("Choose the position that stays on first, or put its number before: 3 stays on.")
        elif stays[2].strip():
            self._note_stay(item.name, stays[2].strip())
        else:
            self._stays = item.name

    def _note_stay(self, position: str, why: str) -> None:
        if not why:
            self.frame.say("Say why, for example: stud seized.")
            return
        self._stays = ""
        by, car = self.sitting.by, self.car

        def done(_: str) -> None:
            self.frame.say(f"{position} stays on: {why}. Ctrl+Z takes it back.")
            self._read_standing()

        self.write(lambda session: desk.stays_on(session, by, car, position, why), done)

    def _log(self, interview: Interview) -> None:
        by, override = self.sitting.by, self._override
        self.write(lambda session: desk.log_it(session, by, interview, override), self._logged)

    def _logged(self, logged: Logged) -> None:
        what = self.interview.value("kind") if self.interview else "part"
        self.sitting.drafts.drop(draft_key(self.car))
        self._override = None
        self.interview = begin(self.car)
        warning = f" {logged.warnings[0]}." if logged.warnings else ""
        self.frame.say(f"{logged.sequence}, {what or 'part'} {logged.tag}: logged. Ctrl+Z takes it back.{warning}")
        self._read_standing()

    def _keep(self, interview: Interview) -> None:
        """Take over an answer, and keep it as a draft at once."""
        self.interview = interview
        number = len(self.standing.came_off) + 1 if self.standing else 1
        answers = {key: [answer.value, answer.mark] for key, answer in interview.answers.items()}
        draft = Draft(draft_key(self.car), f"Part {number} off the {self.car}", interview.at, answers)
        try:
            if answers:
                self.sitting.drafts.save(draft)
        except Refused as refused:
            self.frame.say_refused(refused)
        self.frame.show_foot()

    # Drawing.

    def _cares(self) -> tuple[tuple[str, str], ...]:
        kind = self.interview.value("kind") or self.interview.offer.get("kind", "") if self.interview else ""
        of_kind = desk.care_of_kind(kind) if kind else ()
        unanswered = self._asks_care or (self.standing is not None and not self.standing.care_answered)
        return (*of_kind, *(desk.care_of_start() if unanswered else ()))

    def _narrowed(self, words: str) -> tuple[PositionView, ...]:
        views = self.standing.still_on if self.standing else ()
        return tuple(
            view
            for view in views
            if all(fold(word) in fold(f"{view.kind or ''} {view.name}") for word in words.split())
        )

    def _redraw(self) -> None:
        self.set_class(self._at("position") or not self.car, "-choosing")
        self._fill_on()
        now = self.standing
        came_off = now.came_off if now else ()
        stays = tuple(f"{name} stays on: {why}" for name, why in now.stays) if now else ()
        self._off.fill(Fixed((*came_off, *stays)))
        self._off_title.update(shown(" CAME OFF, newest first" if self.car else ""))
        self._draw_form()

    def _fill_on(self) -> None:
        words = "" if self._words.strip().isdecimal() else self._words
        if not self.car:
            cars = tuple(car for car in self._cars if fold(words) in fold(car.name))
            self._on_title.update(shown(" CARS"))
            self._on.fill(Fixed(cars), cursor=self._on.cursor)
            return
        views = self._narrowed(words if self._at("position") else "")
        self._on_title.update(shown(" STILL ON, in the list's order"))
        self._on.steered = self._at("position", "label")
        self._on.fill(Fixed(views), cursor=self._on.cursor if self._on.cursor < len(views) else 0)

    def _draw_on(self, row: object, width: int) -> Content:
        if isinstance(row, desk.CarLine):
            number = self._cars.index(row) + 1
            began = "being taken apart" if row.since else row.described
            return Content.assemble(shown(numbered(number, row.name)), (f"  {plain(began)}", "$text-muted"))
        if isinstance(row, PositionView):
            number = self._narrowed("").index(row) + 1
            return shown(crop(f"{number:>2} {row.kind or 'part'}, {row.name}", width))
        return Content("")

    def _draw_off(self, row: object, width: int) -> Content:
        if isinstance(row, Removed):
            return shown(crop(f"{row.sequence:>2} {row.tag} {row.kind or 'part'}, {row.position or ''}", width))
        return shown(crop(f"   {row}", width))

    def _draw_form(self) -> None:
        interview = self.interview
        if interview is None or self.standing is None:
            self._form_title.update("")
            self._form.fill(Fixed())
            return
        label = interview.value("label")
        number = len(self.standing.came_off) + 1
        self._form_title.update(shown(f" PART {number}          {f'label {label}' if label else 'no label yet'}"))
        if self._shown_label:
            large = " ".join(self._shown_label)
            self._form.fill(
                Fixed(
                    [
                        Content(""),
                        Content("  Write on the label, and stick it on:"),
                        Content(""),
                        Content(f"      {large}").stylize("bold"),
                    ]
                )
            )
        else:
            rows, at = form_rows(interview, self._form.size.width - 3)
            self._form.fill(Fixed(rows), cursor=at)
        ask = interview.ask()
        self._why.update(
            Content("\n").join([shown(ask.words, "bold"), Content(""), *shown(_EXPLAINED.get(ask.key, "")).wrap(38)])
        )

    def not_taken(self, refused: Refused) -> None:
        """A refused act leaves the answers where they are."""
        if refused.code == "strip-down-open":
            self._asks_care = False
            self._read_standing()
        self._redraw()


_EXPLAINED = {
    "label": "The label must be on the part before the part is in the box. Scan it, or type it; Enter alone shows one to write.",
    "position": "Where it sat. Its number, a few letters of it, or a new name. What is typed narrows the list.",
    "block": "The list of this position says so. Look at each line; Enter says you did. Up goes to a line that is different.",
    "serial": "Read it on the part. It is never offered: a serial from a list would be no reading.",
    "code": "The letter that the factory put on the two units it calibrated together. Only what is read on the part counts. "
    "If it is not there, say: unreadable, label gone, never fitted.",
    "condition": "0 no damage, 1 slight, 2 moderate, 3 severe; then the damage in words: 1 stud bent.",
    READY: "Enter logs it. Up reaches the answers, and car side, bag, note and the other seals.",
}
