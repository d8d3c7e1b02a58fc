"""Where the part came off: the position, and how it can be if a part came off it already."""

from __future__ import annotations

from dataclasses import replace

from inventory.cars.queries import PositionView
from inventory.errors import NearName
from inventory.reference.data import Reference
from inventory.store.words.near import near_names
from inventory.store.words.nothing import name_given
from inventory.teardown.write_second import BOTH, WENT_BACK, Second
from tui.data import strip as data
from tui.interview import Interview
from tui.screens.interviewing import Interviewing
from tui.second import SecondPart
from tui.sitting import Sitting
from tui.widgets.board import Board

__all__ = ["AsksPosition"]


class AsksPosition(Interviewing):
    """Asks where on the car the part came off. `standing`: the state of the strip-down, None until it is read."""

    def __init__(self, sitting: Sitting, car: str) -> None:
        super().__init__(sitting, car)
        self.standing: data.StripDownState | None = None
        self._unlisted = ""
        self._second: SecondPart | None = None
        self._board = Board()

    def next_part(self) -> None:
        """Go on with the next part."""
        raise NotImplementedError

    def take_position(self, interview: Interview, words: str) -> None:
        """Take a number, some letters, or the name of a new position."""
        if words:
            name_given("position", words)
        if self._unlisted and not words:
            name, self._unlisted = self._unlisted, ""
            self._take_position(interview, name, None)
        elif not words and interview.value("position"):
            self.keep(interview.answered(""))
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
        """The position that an answer picks: by number, name or some letters, or the chosen one if they fit it."""
        if words.isdecimal():
            return self._board.numbered(int(words))
        if self.standing is not None and (named := self.standing.position(words)) is not None:
            return named
        here = self._board.chosen
        if not words:
            return here
        narrowed = self._board.narrowed(words)
        return here if here in narrowed else next(iter(narrowed), None)

    def _take_named(self, interview: Interview, name: str) -> None:
        self._take_position(interview, name, self.standing.position(name) if self.standing else None)
        self.redraw()

    def _take_position(self, interview: Interview, name: str, view: PositionView | None) -> None:
        """Take a position, or ask how it can be if a part came off it already."""
        self._unlisted = ""
        label, standing = interview.value("label"), self.standing
        if standing is not None and (by := standing.emptied.get(name)) is not None and by.tag != label:
            self._second = SecondPart(name, by, standing.shown, standing.today)
            self.interview = replace(interview, at="position")
            self.host.say(self._second.says)
        else:
            self._sits_at(interview, name, view)

    def _sits_at(self, interview: Interview, name: str, view: PositionView | None, how: str = "") -> None:
        self._second = None
        answered = interview.sits_at(name, how)
        if view is not None and view.fitted_tag and view.fitted_tag != answered.value("label"):
            self.host.say(f"{view.fitted_tag} is on record there. If it is that part, press Esc and scan its label.")
        offered = self.offered(data.with_position(self.reference(), answered, view))
        self.keep(replace(offered, at=offered.first_open()))
        self.redraw()

    def _take_second(self, interview: Interview, second: SecondPart, words: str) -> None:
        """How a second part can come off a position that is empty already; Enter alone is no answer."""
        here = self.standing.position(second.position) if self.standing else None
        if second.other_asked:
            self._take_other(interview, second, words)
        elif words == "1":
            self._second = None
            self.host.say("Where did it sit? Type the place.")
        elif words == "2":
            self._second = replace(second, other_asked=True)
        elif words == "3":
            self._one_part(interview, second)
        elif words in ("4", "5"):
            self._sits_at(interview, second.position, here, BOTH if words == "4" else WENT_BACK)
        elif not words or words.isdecimal():
            self.host.say("Nothing is offered here: type 1 to 5, or the place where this part sat.")
        else:
            self._second = None
            self.take_position(interview, words)

    def _take_other(self, interview: Interview, second: SecondPart, words: str) -> None:
        """The place where the part sat that came off before."""
        view = self._position_meant(words) if words else None
        names = self.standing.names if self.standing else ()
        name = view.name if view is not None else words
        if not words or (view is None and words.isdecimal()):
            self.host.say(f"Type the place where {second.by.tag} sat: its number, some letters, or a new name.")
        elif name == second.position or (self.standing is not None and name in self.standing.emptied):
            self.host.say(f"{name} is empty too. Type another place; Esc goes back.")
        elif view is None and (near := near_names(words, names)):
            self.host.ask_name(
                NearName("position", words, near), lambda meant: self._take_other(interview, second, meant)
            )
        else:
            here = self.standing.position(second.position) if self.standing else None
            self._sits_at(interview, second.position, here, str(Second(other_at=name_given("position", name))))
        self.redraw()

    def _one_part(self, interview: Interview, second: SecondPart) -> None:
        by, label, it = self.sitting.by, interview.value("label"), second.by
        self._second = None
        self.write(
            lambda session: data.one_part(session, by, interview, second.position),
            lambda _: f"It is {it.tag}, part {it.number}. Peel {label} off: it is free. Ctrl+Z takes the note back.",
            then=lambda _: self.next_part(),
            draft=self.draft_key,
        )

    def offered(self, interview: Interview) -> Interview:
        """What the last part of this kind had is offered, if no list says more."""
        return data.like_last(interview, self.standing.came_off if self.standing else ())

    def reference(self) -> Reference:
        """The one read with the state of the strip-down: nothing is asked of the record for it."""
        return self.standing.reference if self.standing else super().reference()
