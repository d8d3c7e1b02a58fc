"""Refit: put a car back together, line by line; ticks are held, and a typed `done` writes them."""

from __future__ import annotations

from dataclasses import replace

from textual.app import ComposeResult

from inventory.errors import Refused
from inventory.labels.codes import CarSideCode
from inventory.reference.build_list import AXES
from inventory.refit.jobs import JobLine
from inventory.refit.plan import ON, Step
from inventory.store.words.text import fold
from tui.data import refit as data
from tui.data.refit import RefitState, Written, key_of
from tui.questions import Question
from tui.safe import plain
from tui.screens import make_view
from tui.screens.ticking import KEY, Ticking, place_of
from tui.sitting import Sitting
from tui.ticks import ANSWERS, Tick, from_answers
from tui.widgets.order import OrderBoard, Pane
from tui.widgets.rows import RowList
from tui.widgets.step import line_name
from tui.words import clock_time, many

__all__ = ["Refit"]

_PANES: tuple[Pane, ...] = ("", "why", "buy")
_ASKED = {
    "why": Question("Put it on against advice? Say why, or Esc:"),
    "position": Question("Its position was not noted. Where does it go?"),
    "axis": Question("Way round now?", AXES, enter="as shown"),
    "fasteners": Question("Fasteners now?", enter="as shown"),
    "route": Question("Route, plugs or hoses now?", enter="as shown"),
    "other": Question("Anything else that differs?", enter="no"),
}


class Refit(Ticking):
    """One car going back together. Nothing is written by a scan or a tick; `done` writes all ticks as one act."""

    def __init__(self, sitting: Sitting, car: str) -> None:
        super().__init__(sitting, car)
        self._pane: Pane = ""
        self._to_buy: tuple[str, ...] = ()
        self._board = OrderBoard(sitting.record.reference)

    def compose(self) -> ComposeResult:
        """The board."""
        yield self._board

    # What the host calls.

    def where(self) -> str:
        """The car."""
        return f"Refit: {self.car}"

    def middle(self) -> str:
        """How many parts are on, and how many ticks are held."""
        if self.standing is None:
            return ""
        steps = self.standing.plan.steps
        return f"{sum(step.state == ON for step in steps)} of {len(steps)} on, {self._ticked} ticked now"

    def question(self) -> Question:
        """What is asked of the chosen line."""
        line = self.here
        if self._asks:
            return _ASKED[self._asks]
        if self.standing is None:
            return Question("One moment:")
        if self._all_on:
            return Question("All on. The checks of the first start?", enter="yes")
        if line is None or not self._may_be_ticked(line):
            return Question("Scan a label, or type the number of a step:")
        if self._of(line).at:
            return Question("Ticked. Scan the next, or:  not now takes this tick off", short=True)
        if isinstance(line, JobLine):
            return Question("Is it done?  tick  not now", short=True)
        return Question(f"Scan {self._next_scan(line)}, or:  {'  '.join(ANSWERS)}", short=True)

    def care(self) -> str:
        """The worst caution of the chosen step."""
        line = self.here
        return line.care[0] if isinstance(line, Step) and line.care and line.state != ON else ""

    def cautions_in_full(self) -> tuple[str, ...]:
        """All cautions of the chosen step, with their sources."""
        line = self.here
        return data.cautions_in_full(*((line.kind or "", line.position) if isinstance(line, Step) else ("", "")))

    def help_text(self) -> tuple[str, ...]:
        """How to put parts back."""
        return (
            "The lines stand in the order of going back on; a number goes to its step. Scan the label of a part: its "
            "step comes up, wherever the list stands. Then scan the label on its plug or hose: the view says whether "
            "it belongs. Both scanned make the tick. Without labels type: on as shown, differs, no label or not now.",
            "A part that is not ready is named with the reason. It goes on only against advice: say why, and every "
            "list will show it. Right shows reasons and pictures, Right again what to buy, Left goes back; Tab goes "
            "to the other half.",
            "Ticks are held as a draft and are not written. done writes all of them, and Ctrl+Z then takes all of "
            "them back. drop deletes the ticks. Once all is on, the checks of the first start are next.",
            "By command: jobs between the steps (refit job add), changes to the car (refit altered), a part for "
            "another position (refit assign), the plan on paper (refit plan -o FILE), what is in stock (hardware "
            "stock).",
        )

    def keys(self) -> tuple[str, ...]:
        """The halves matter here."""
        return ("Enter", "Esc", "Right", "Tab", "Space", "?")

    def part_tag(self) -> str | None:
        """The part of the chosen step."""
        line = self.here
        return line.tag if isinstance(line, Step) else None

    def opened(self) -> None:
        """Read the plan."""
        car = self.car
        self.read("standing", lambda session: data.refit_state(session, car), self._show)

    def steer(self, key: str) -> None:
        """Choose a line; Tab to the other half; Right the reasons."""
        if key in ("tab", "shift+tab"):
            self.toggle_class("-other")
            self._board.order.steered = not self.has_class("-other")
            self._board.form.steered = self.has_class("-other")
            self._board.order.refresh()
            self.call_after_refresh(self.redraw)
        elif key in ("right", "left"):
            self._turn(1 if key == "right" else -1)
        elif self.has_class("-other"):
            self._board.form.steer(key)
        elif not self._asks and self._board.order.steer(key):
            self._moved()

    def back(self) -> bool:
        """Out of a question or the reasons; else leave the view. What is held stays held."""
        line = self.here
        if self._asks == "why" and line is not None and self._of(line).part:
            self._hold(line, Tick())
            self.host.say(f"{line_name(self._state, line)}: left off. Nothing is held for it.")
        elif not self._asks and not self._pane:
            return False
        self._asks, self._after, self._pane = "", "", ""
        self.redraw()
        return True

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap chooses a line."""
        if event.rows is self._board.order and not self._asks:
            self._moved()

    def car_side_read(self, code: CarSideCode) -> bool:
        """A label of the car side: whether it belongs to the part."""
        if self.standing is not None:
            self._read_car_side(code)
            self.redraw()
        return True

    def take(self, text: str) -> None:
        """A number, an answer, `done` or `drop`."""
        words = plain(text).strip()
        if self.standing is None:
            return
        line = self.here
        if self._asks and line is not None:
            self._answered(line, words)
        elif words.isdecimal():
            self._go_to_number(int(words))
        elif fold(words) == "done":
            self._done()
        elif self._all_on and not words:
            self.host.open(make_view("first start", self.sitting, self.car))
        elif fold(words) == "drop":
            self._drop()
        elif line is not None:
            self._take_answer(line, words)
        self.redraw()

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """The label of a part: its step comes up, and the part is held as scanned."""
        if self.standing is None:
            return True
        here = self.here
        line = next((each for each in self.standing.plan.steps if each.tag == tag), None)
        if self._asks and here is not None:
            self.host.say(f"{tag} read. {line_name(self.standing, here)} is half answered: answer first, or Esc.")
        elif line is None:
            self.read("elsewhere", lambda session: data.elsewhere(session, tag), self.host.say)
        else:
            self._scan_part(line)
        self.redraw()
        return True

    # The plan.

    @property
    def here(self) -> Step | JobLine | None:
        """The chosen line."""
        return self._board.chosen

    @property
    def _all_on(self) -> bool:
        """Whether no step and no job is left."""
        lines = self.standing.lines if self.standing else ()
        return bool(lines) and all(line.done if isinstance(line, JobLine) else line.state == ON for line in lines)

    def _show(self, standing: RefitState) -> None:
        first = self.standing is None
        self.standing = standing
        if first and (draft := self.host.draft(KEY + self.car)):
            self.held = from_answers(draft.answers)
            self.host.say(f"{many(self._ticked, 'tick')} held since {clock_time(draft.saved)}; done writes them.")
        open_now = {key_of(line) for line in standing.lines if self._may_be_ticked(line)}
        if gone := [key for key in self.held if key not in open_now]:
            self.held = {key: tick for key, tick in self.held.items() if key in open_now}
            self.host.say(f"{', '.join(gone)}: on by now, or no longer in the plan. The tick was dropped.")
            self._save()
        self._untick_stopped()
        if self._at not in map(place_of, standing.lines):
            self._asks, self._after = "", ""
            self._to_next(-1)
        self.redraw()

    def _untick_stopped(self) -> None:
        """A ticked part that has come to be not ready meanwhile is ticked no longer."""
        for step in self._state.plan.steps:
            tick = self._of(step)
            if tick.at and not tick.why and tick.axis in ("", step.axis or "") and (stops := self._stops(step)):
                self._hold(step, replace(tick, at=""))
                name = line_name(self._state, step)
                self.host.say(f"{name} is not ready now: {'; '.join(stops)}. It is ticked no longer.")

    def was_refused(self, refused: Refused) -> None:
        """Read the plan again: something changed meanwhile."""
        if self.standing is not None:
            self.opened()

    def _turn(self, way: int) -> None:
        """Right: the reasons, then what to buy; Left: back out."""
        place = _PANES.index(self._pane) + way
        if place < 0:
            self.host.back()
        elif place < len(_PANES):
            self._pane = _PANES[place]
            if self._pane == "buy":
                car = self.car
                self.read("buy", lambda session: data.to_buy(session, car), self._show_to_buy)
            self.redraw()

    def _show_to_buy(self, lines: tuple[str, ...]) -> None:
        self._to_buy = lines
        self.redraw()

    def _moved(self) -> None:
        line = self.here
        if line is not None:
            self._pane = ""
            self._to(line)

    def _go_to_number(self, number: int) -> None:
        step = next((each for each in self._state.plan.steps if each.order == number), None)
        if step is None:
            self.host.say(f"There is no step {number}.")
        else:
            self._to(step)

    def _done(self) -> None:
        """Write all ticks as one act."""
        ticks = [(line, tick) for line in self._state.lines if (tick := self._of(line)).at]
        if not ticks:
            self.host.say("Nothing is ticked, so there is nothing to write.")
            return
        by, plan = self.sitting.by, self._state.plan
        self.write(lambda session: data.write_ticks(session, by, plan, ticks), _written, then=self._wrote)

    def _wrote(self, _: Written) -> None:
        self.held = {key: tick for key, tick in self.held.items() if not tick.at}
        self._save()
        self.opened()

    def _drop(self) -> None:
        def dropped() -> None:
            self.held = {}
            self._save()
            self.host.say("The ticks were dropped. Nothing was written.")
            self.redraw()

        if self.held:
            self.host.confirm(Question(f"Drop {many(self._ticked, 'tick')}?", enter="yes, Esc no"), dropped)
        else:
            self.host.say("Nothing is held.")

    def on_resize(self) -> None:
        """Redraw at the new width."""
        self.call_after_refresh(self.redraw)

    def redraw(self) -> None:
        """Show the plan, what is held, and the chosen line."""
        if self.standing is None:
            return
        places = [place_of(line) for line in self.standing.lines]
        at = places.index(self._at) if self._at in places else 0
        self._board.put(self.standing, self.held, at, self._pane, self._to_buy)
        self.host.show_foot()


def _written(written: Written) -> str:
    """What `done` wrote, in a sentence."""
    said = [many(written.fittings, "part") + " on"] if written.fittings else []
    said += [many(written.jobs, "job") + " done"] if written.jobs else []
    against = f" Against advice: {', '.join(written.against)}." if written.against else ""
    already = f" On already, not written again: {', '.join(written.on_already)}." if written.on_already else ""
    if not said:
        return f"Nothing was written.{already}"
    return f"Written: {', '.join(said)}.{against}{already} Ctrl+Z takes all of it back."
