"""What belongs on a car: its list, position after position, beside what is there."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from textual.app import ComposeResult
from textual.content import Content

from inventory.build_lists.compare import Compared
from inventory.cars.queries import PositionView
from inventory.errors import NearName, UnknownName
from inventory.store.words.near import near_names
from inventory.store.words.nothing import is_no_name, name_given
from inventory.store.words.text import clean, fold
from tui.data import belongs as data
from tui.drafts import Draft
from tui.listing import READY, ListingForm
from tui.questions import Question, chosen
from tui.safe import crop, shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import many, numbered

if TYPE_CHECKING:
    from inventory.build_lists.actions import Taken

__all__ = ["Belongs"]

_KEY = "list:"
AnyRow = TypeVar("AnyRow")


class Belongs(View):
    """The list of one car. Without a car it asks which one."""

    def __init__(self, sitting: Sitting, car: str = "") -> None:
        super().__init__(sitting)
        self._car = car.removeprefix(_KEY)
        self._cars: tuple[str, ...] = ()
        self._belonging: data.Belonging | None = None
        self._taking = False
        self._by_cylinder: data.ReadyList | None = None
        self._form: ListingForm | None = None
        self._rows = RowList(self._draw)

    def compose(self) -> ComposeResult:
        """The list, or the questions about one position."""
        yield self._rows

    def where(self) -> str:
        """The car, and the position."""
        at = f": {self._form.position}" if self._form else ""
        return f"Belongs on: {self._car}{at}" if self._car else "What belongs on a car"

    def middle(self) -> str:
        """How many positions there are, and how many are missing."""
        if self._belonging is None:
            return ""
        missing = sum("missing" in each.states for _, each in self._belonging.rows)
        return f"{many(len(self._belonging.rows), 'position')}" + (f", {missing} missing" if missing else "")

    def question(self) -> Question:
        """Which car, which list, which position; then what belongs there."""
        if not self._car:
            return Question("Which car? Its number:")
        if self._by_cylinder is not None:
            return Question("How many cylinders?", enter="4")
        if self._form is not None:
            kept = self._form.value(self._form.at)
            enter = "yes" if self._form.at == READY else "keeps it" if kept else "leaves it open"
            return Question(self._form.words, self._form.choices, enter)
        if self._takes:
            return Question("Which list? Its number, or the name of a position:")
        return Question("Position? Number, new name, or from (a list)", enter="opens it")

    def help_text(self) -> tuple[str, ...]:
        """What the words mean."""
        return (
            "What a list says is offered in Strip, in one block; it is never a reading. Type the number of a position "
            "to say what belongs there, or a new name. Enter keeps what is listed; done lists it at once; several "
            "numbers or positions are separated by semicolons. from shows the lists that can be taken: they fill in "
            "what is empty, and never overwrite.",
            "still on: nothing came off there yet. on: a part is fitted there. off: it came off. missing: the car was "
            "taken apart without it, or it left the house. unknown: nobody has logged what is there, or its number was "
            "not read. foreign: its kind or number is none of those listed. failed: it failed its last test of some "
            "sort. not listed: a part came off there, and the list says nothing of it.",
        )

    @property
    def _takes(self) -> bool:
        """Whether the lists that can be taken are shown."""
        return self._belonging is not None and (self._taking or not self._belonging.rows)

    def opened(self) -> None:
        """Read the list of the car, or the cars."""
        car = self._car
        if car:
            self.read("belongs", lambda session: data.what_belongs(session, car), self._show)
        else:
            self.read("cars", data.car_names, self._show_cars)

    def steer(self, key: str) -> None:
        """Choose a row; in the questions about a position, go up and down."""
        if self._form is None:
            self._rows.steer(key)
        elif key in ("up", "down"):
            self._keep(self._form.stepped(-1 if key == "up" else 1))

    def back(self) -> bool:
        """From the questions to the list; from the lists that can be taken to that of the car."""
        if self._form is not None and self._form.at != "kind":
            self._keep(self._form.stepped(-1))
        elif self._form is not None or self._by_cylinder is not None:
            if self._form is not None:
                self.host.drop_draft(f"{_KEY}{self._car}")
            self._form = self._by_cylinder = None
            self._fill()
        elif self._taking:
            self._taking = False
            self._fill()
        else:
            return False
        return True

    def take(self, text: str) -> None:
        """An answer."""
        words = clean(text)
        if not self._car:
            self._take_car(words)
        elif self._by_cylinder is not None:
            self._take_cylinders(self._by_cylinder, words or "4")
        elif self._form is not None:
            self._take_answer(self._form, words)
        elif self._takes and (words.isdecimal() or not words):
            self._take_list(words)
        elif fold(words) == "from":
            self._taking = True
            self._fill()
        else:
            self._take_position(words)

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap opens the row."""
        if event.again and self._form is None:
            self.take("")

    # The car, the lists, the position.

    def _take_car(self, words: str) -> None:
        name = self._picked(words, self._cars)
        if name is not None:
            self._car = name
            self.opened()

    def _take_list(self, words: str) -> None:
        ready = self._picked(words, self._belonging.ready if self._belonging else ())
        if ready is not None and ready.by_cylinder:
            self._by_cylinder = ready
            self.host.show_foot()
        elif ready is not None:
            self._use(ready, None)

    def _take_cylinders(self, ready: data.ReadyList, words: str) -> None:
        if words.isdecimal() and 0 < int(words) <= 16:
            self._use(ready, int(words))
        else:
            self.host.say(f'"{words}" is no number of cylinders. For example 4 or 6.')

    def _use(self, ready: data.ReadyList, cylinders: int | None) -> None:
        by, car = self.sitting.by, self._car
        self._by_cylinder, self._taking = None, False

        def message(taken: Taken) -> str:
            return f"{ready.name}: {len(taken.added)} listed, {len(taken.filled)} filled in. Ctrl+Z takes it back."

        self.write(
            lambda session: data.take_list(session, by, car, ready, cylinders), message, then=lambda _: self.opened()
        )

    def _take_position(self, words: str) -> None:
        rows = self._belonging.rows if self._belonging else ()
        if not words or words.isdecimal():
            picked = self._picked(words, rows)
            if picked is not None:
                self._ask(picked[0].name)
            return
        name = name_given("position", words)
        names = [view.name for view, _ in rows]
        exact = next((each for each in names if fold(each) == fold(name)), None)
        if exact is None and (near := near_names(name, names)):
            self.host.ask_name(NearName("position", name, near), self._ask)
        else:
            self._ask(exact or name)

    def _ask(self, position: str) -> None:
        """Begin the questions about a position."""
        listed = self._belonging.listed_at(position) if self._belonging else {}
        self._keep(self._with_axis(ListingForm(position, listed)))

    def _with_axis(self, form: ListingForm) -> ListingForm:
        kinds = self.sitting.record.reference.kinds
        moving = any(each.name == form.value("kind") and each.moving_element for each in kinds)
        return replace(form, has_axis=moving or bool(form.value("axis")))

    # What belongs at a position.

    def _take_answer(self, form: ListingForm, words: str) -> None:
        if fold(words) == "done" or (form.at == READY and not words):
            self._list(form)
        elif form.at == READY:
            self.host.say("Enter on an empty line lists it; Up goes to an answer that is different.")
        elif words and is_no_name(words):
            self._keep(form.stepped(1))
        elif form.at == "kind" and words:
            self._take_kind(form, words)
        elif form.at == "behind" and words:
            self._take_behind(form, words)
        elif form.choices and words:
            if (answer := chosen(words, form.choices)) is None:
                self.host.say(f'"{words}" is none of: {", ".join(form.choices)}.')
            else:
                self._keep(form.answered(answer))
        else:
            self._keep(form.answered(words))

    def _take_kind(self, form: ListingForm, words: str) -> None:
        kinds = tuple(each.name for each in self.sitting.record.reference.kinds)
        try:
            kind = self.sitting.record.reference.kind(chosen(words, kinds) or words).name
        except UnknownName as unknown:
            self.host.say_refused(unknown)
            if unknown.near:
                self.host.ask(Question("Which kind?", tuple(unknown.near)), lambda name: self._take_kind(form, name))
            return
        self._keep(self._with_axis(replace(form, answers={**form.answers, "kind": kind})).stepped(1))

    def _take_behind(self, form: ListingForm, words: str) -> None:
        """The positions behind which it sits; one that is not on the car is asked about."""
        names = [name for name in (self._belonging.names if self._belonging else ()) if name != form.position]
        typed = [each for each in map(clean, words.split(";")) if each]
        found = {each: next((name for name in names if fold(name) == fold(each)), "") for each in typed}
        unknown = next((each for each in typed if not found[each]), None)
        if unknown is None:
            self._keep(form.answered("; ".join(dict.fromkeys(found.values()))))
            return
        near = near_names(unknown, names) or [name for name in names if fold(unknown) in fold(name)][:3]
        self.host.say(f'"{unknown}" is no other position of this car.{"" if near else " List it first."}')

        def meant(name: str) -> None:
            self._take_behind(form, "; ".join(name if each == unknown else each for each in typed))

        if near:
            self.host.ask(Question("Which position?", tuple(near)), meant)

    def _list(self, form: ListingForm) -> None:
        """Write what was answered, and go on with the next position."""
        by, car, names = self.sitting.by, self._car, self._belonging.names if self._belonging else ()

        def next_one(position: str) -> None:
            self._form = None
            place = names.index(position) + 1 if position in names else len(names)
            self._rows.cursor = place
            self.opened()

        if not form.answers and form.position in names:
            next_one(form.position)
            self.host.drop_draft(f"{_KEY}{car}")
            self._fill()
            return
        self.write(
            lambda session: data.list_at(session, by, car, form.position, form.answers),
            lambda position: f"{position}: listed. Ctrl+Z takes it back.",
            then=next_one,
            draft=f"{_KEY}{car}",
        )

    def _keep(self, form: ListingForm) -> None:
        """Take the answers, and save the draft at once."""
        self._form = form
        if form.answers:
            answers = {"position": [form.position, "+"], **{key: [each, "+"] for key, each in form.answers.items()}}
            what = f"List of the {self._car}, {form.position}"
            self.host.save_draft(Draft(f"{_KEY}{self._car}", what, form.at, answers))
        self._fill()

    # The rows.

    def _show_cars(self, cars: tuple[str, ...]) -> None:
        self._cars = cars
        if not cars:
            self.host.say("No car is on record yet. Space S: take a car apart.")
        self._fill()

    def _show(self, belonging: data.Belonging) -> None:
        self._belonging = belonging
        draft = self.host.draft(f"{_KEY}{self._car}")
        if draft is not None and self._form is None:
            answers = {key: value for key, (value, _) in draft.answers.items()}
            position = answers.pop("position", "")
            form = ListingForm(position, belonging.listed_at(position), answers)
            self._form = replace(self._with_axis(form), at=draft.stopped_at)
            self.host.say(f'{draft.what}: continued from the draft, at "{draft.stopped_at}".')
        self._fill()

    def _fill(self) -> None:
        rows: list[object] = list(self._cars)
        self._rows.steered = self._form is None
        if self._form is not None:
            rows = list(self._form.rows())
        elif self._belonging is not None:
            rows = list(self._belonging.ready if self._takes else self._belonging.rows)
        at = next((place for place, row in enumerate(rows) if isinstance(row, tuple) and row[0] == ">"), None)
        self._rows.fill(Fixed(rows), cursor=self._rows.cursor if at is None else at)
        self.host.show_foot()

    def _picked(self, words: str, every: tuple[AnyRow, ...]) -> AnyRow | None:
        """The row with this number, or the chosen one."""
        place = int(words) - 1 if words.isdecimal() and len(words) < 5 else self._rows.cursor
        if words and not words.isdecimal():
            place = -1
        if 0 <= place < len(every):
            return every[place]
        self.host.say(f"There is no number {words} here." if words else "There is nothing to choose here.")
        return None

    def _draw(self, row: object, width: int) -> Content:
        place = list(self._rows.source.window(0, self._rows.source.count()) or ()).index(row) + 1
        match row:
            case str():
                return shown(numbered(place, row))
            case data.ReadyList():
                return Content.assemble(shown(numbered(place, row.name)), "  ", shown(row.says, "$text-muted"))
            case (str() as mark, str() as name, str() as value):
                style = "bold" if mark == ">" else "$text-muted" if mark == "." else ""
                return Content(crop(f"{mark} {name:<11}{value}", width)).stylize(style)
            case (PositionView() as view, Compared() as compared):
                return _position_row(place, view, compared, width)
        return Content("")


def _position_row(place: int, view: PositionView, compared: Compared, width: int) -> Content:
    """A position: its number and name, what is listed, the parts there, and the words that hold."""
    state = ", ".join(each.upper() if each in ("missing", "foreign", "failed") else each for each in compared.states)
    tags = f"{', '.join(compared.tags)} " if compared.tags else ""
    right = f"  {tags}{state}"
    listed = " ".join(each for each in (view.kind or "kind not listed", view.part_number) if each)
    left = crop(f"{place:>2} {view.name}: {listed}", max(width - len(right), 20))
    return Content.assemble(shown(left), shown(right, "$text-muted"))
