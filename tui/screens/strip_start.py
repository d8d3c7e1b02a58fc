"""Strip: which car is taken apart; for a new strip-down, battery, stands and fuel, and whether the car ran."""

from __future__ import annotations

from dataclasses import replace

from textual.app import ComposeResult
from textual.content import Content

from inventory.cars import write_names
from inventory.errors import NearName
from inventory.store.words.near import near_names
from inventory.store.words.nothing import is_no_name, name_given
from inventory.store.words.text import clean, fold
from tui.data import strip as data
from tui.drafts import draft_key
from tui.naming import Naming, is_naming, naming
from tui.questions import Question, chosen
from tui.safe import shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["StripStart"]


class StripStart(View):
    """The cars, those being taken apart first; a new name makes a new car."""

    def __init__(self, sitting: Sitting, car: str = "") -> None:
        super().__init__(sitting)
        self._cars: tuple[data.CarLine, ...] = ()
        self._car = car
        self._cared: str | None = None
        self._words = ""
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, data.CarLine))

    def compose(self) -> ComposeResult:
        """The cars."""
        yield self._rows

    def where(self) -> str:
        """The car, once it is chosen."""
        return f"Strip: {self._car}" if self._car else "Strip"

    def question(self) -> Question:
        """Which car; then battery, stands and fuel; then whether it ran."""
        if self._car and self._cared is not None:
            return Question("Did it run on these parts?", data.RAN, enter="later")
        if self._car:
            return Question("Battery off, on stands, fuel line relieved?", enter="later")
        return Question("Which car? Its number, or the name of a new one:")

    def care(self) -> str:
        """The worst caution for starting."""
        return data.care_of_start()[0][0] if self._car and not self._cared else ""

    def cautions_in_full(self) -> tuple[str, ...]:
        """All cautions for starting."""
        return tuple(full for _, full in data.care_of_start())

    def help_text(self) -> tuple[str, ...]:
        """How to start a strip-down."""
        return (
            "Choose a car, or type the name of a new one. The question about battery, stands and fuel is asked once "
            "for each car. Answer in words; the answer is recorded with your name and the time. Without an answer the "
            "caution stays on the care line; you can go on.",
            "Whether the car ran on its parts is asked once too. It counts when they go back on: a part on which the "
            "car ran, and to which nothing was done since, may go on untested.",
            "A name that is wrong: rename NAME to NEW NAME. A car made by mistake: mistake NAME, and why. NAME may be "
            "its number in the list.",
        )

    def opened(self) -> None:
        """Read the cars."""
        self.read("cars", data.cars_to_strip, self._show)

    def line_changed(self, text: str) -> None:
        """Narrow the list."""
        self._words = "" if text.strip().isdecimal() or self._car or is_naming(text) else text.strip()
        self._fill()

    def steer(self, key: str) -> None:
        """Choose a car."""
        if not self._car:
            self._rows.steer(key)

    def back(self) -> bool:
        """One question back."""
        if self._cared is not None:
            self._cared = None
            self._fill()
            return True
        if self._car:
            self._car = ""
            self._fill()
            return True
        return False

    def take(self, text: str) -> None:
        """Take the car; then the answers about battery, stands and fuel, and whether it ran."""
        words, self._words = clean(text), ""
        if self._car and self._cared is not None:
            self._begin(self._cared, words)
        elif self._car:
            self._care(words)
        elif (named := naming(text, (car.name for car in self._cars))) is not None:
            self._name_anew(named)
        elif name := self._named(words):
            names = [car.name for car in self._cars]
            if name not in names and (near := near_names(name, names)):
                self.host.ask_name(NearName("car", name, near), self._take_car)
            else:
                self._take_car(name)
        self._fill()

    def _name_anew(self, named: Naming) -> None:
        """Rename a car, or take away one that was made by mistake."""
        by, new = self.sitting.by, named.new
        name = self._named(named.name) if named.name.isdecimal() else named.name
        if new:
            self.write(
                lambda session: write_names.rename_car(session, by, name, new),
                lambda _: f"{name} is now {new}. Ctrl+Z takes it back.",
                then=lambda _: self._renamed(name, new),
            )
        elif name and (draft := self.host.draft(draft_key(name))) is not None:
            self.host.say(f"{draft.what} is half answered. Nothing was changed. Finish it first, or type drop there.")
        elif name:
            self.write(
                lambda session: write_names.remove_car(session, by, name, named.why),
                lambda _: f"{name} is taken away. Ctrl+Z brings it back.",
                then=lambda _: self.opened(),
            )

    def _renamed(self, name: str, new: str) -> None:
        """The draft of a part goes with its car."""
        if (draft := self.host.draft(draft_key(name))) is not None:
            self.host.save_draft(replace(draft, key=draft_key(new), what=draft.what.replace(name, new)))
            self.host.drop_draft(draft_key(name))
        self.opened()

    def _take_car(self, name: str) -> None:
        """Go on with a car that is being taken apart, or ask the question before the start."""
        known = next((car for car in self._cars if car.name == name), None)
        if known is not None and known.since:
            self._go_on(name)
        else:
            self._car = name
            self._fill()

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap chooses the car."""
        if not self._car:
            self.take("")

    def _named(self, words: str) -> str:
        """The car that the text means, "" if none."""
        item = self._rows.item
        if words.isdecimal() and len(words) < 4:
            if 1 <= int(words) <= len(self._cars):
                return self._cars[int(words) - 1].name
            self.host.say(f"There is no number {words} here.")
            return ""
        if words and not (isinstance(item, data.CarLine) and fold(words) in fold(item.name)):
            return name_given("name of the car", words)
        if isinstance(item, data.CarLine):
            return item.name
        self.host.say("Type the name of the car, for example Green tourer.")
        return ""

    def _care(self, care: str) -> None:
        if is_no_name(care):
            self.host.say("Answer in words, for example: battery off, on stands. Enter alone answers it later.")
            return
        self._cared = care

    def _begin(self, care: str, answer: str) -> None:
        ran = chosen(answer, data.RAN)
        if answer and ran is None:
            self.host.say("Answer 1 yes, 2 no or 3 not known. Enter alone answers it later.")
            return
        by, car, new = self.sitting.by, self._car, all(known.name != self._car for known in self._cars)
        self.write(
            lambda session: data.begin_on(session, by, car, care, ran, new=new),
            lambda begun: f"{begun.car}: strip-down begun. Ctrl+Z takes it back.",
            then=lambda begun: self._go_on(begun.car),
        )

    def _go_on(self, car: str) -> None:
        self.host.replace(make_view("strip car", self.sitting, car))

    def _show(self, cars: tuple[data.CarLine, ...]) -> None:
        self._cars = cars
        self._fill()

    def _fill(self) -> None:
        if self._car:
            width = max(self.size.width - 4, 30)
            lines = [line for full in self.cautions_in_full() for line in (*shown(full).wrap(width), Content(""))]
            self._rows.fill(Fixed(lines))
            return
        found = [car for car in self._cars if fold(self._words) in fold(car.name)]
        self._rows.fill(Fixed(found), cursor=self._rows.cursor if self._rows.cursor < len(found) else 0)

    def _draw(self, row: object, _: int) -> Content:
        if not isinstance(row, data.CarLine):
            return row if isinstance(row, Content) else Content("")
        state = "being taken apart" if row.since else row.described
        return Content.assemble(
            shown(numbered(self._cars.index(row) + 1, row.name)), Content("  "), shown(state, "$text-muted")
        )
