"""What is held of a refit before it is written: scans, typed answers and ticks, kept as a draft at once."""

from __future__ import annotations

from dataclasses import replace

from inventory.labels.codes import CarSideCode
from inventory.labels.queries import Belongs
from inventory.reference.build_list import AXES, SAID
from inventory.refit.jobs import JobLine
from inventory.refit.plan import ON, WAITS, Step
from inventory.refit.readiness import PositionReady
from inventory.store.days.clock import now, stamp
from inventory.store.words.nothing import is_no_name
from inventory.store.words.text import fold
from tui.data import refit as data
from tui.data.refit import RefitState, key_of
from tui.drafts import Draft
from tui.questions import chosen
from tui.sitting import Sitting
from tui.ticks import ANSWERS, DIFFERS, OF_A_JOB, Tick, is_whole, to_answers
from tui.view import View
from tui.widgets.step import line_name, open_waits
from tui.words import clock_time, many

__all__ = ["KEY", "Ticking", "place_of"]

#: How the key of the draft of a refit begins; the car follows.
KEY = "on:"


class Ticking(View):
    """The ticks of one car. A scan or an answer holds a tick; none writes."""

    asks_what_settles = False

    def __init__(self, sitting: Sitting, car: str) -> None:
        super().__init__(sitting)
        self.car = car.removeprefix(KEY)
        self.standing: RefitState | None = None
        self.held: dict[str, Tick] = {}
        self._at = ""
        self._asks = ""
        self._after = ""
        self._differing: dict[str, str] = {}

    @property
    def here(self) -> Step | JobLine | None:
        """The chosen line."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Show the plan and what is held."""
        raise NotImplementedError

    # The plan and what is held.

    @property
    def _state(self) -> RefitState:
        assert self.standing is not None
        return self.standing

    @property
    def _ticked(self) -> int:
        return sum(bool(tick.at) for tick in self.held.values())

    def _of(self, line: Step | JobLine) -> Tick:
        return self.held.get(key_of(line), Tick())

    def _may_be_ticked(self, line: Step | JobLine) -> bool:
        if isinstance(line, JobLine):
            return not line.done
        return self._state.readiness(line) is not None and line.state != ON

    def _hold(self, line: Step | JobLine, tick: Tick) -> None:
        """Hold what was answered of a line, and save the draft at once."""
        if tick == Tick():
            self.held.pop(key_of(line), None)
        else:
            self.held[key_of(line)] = tick
        self._save()

    def _save(self) -> None:
        if self.held:
            line = self.here
            stopped = line_name(self._state, line) if line else ""
            what = f"Refit of the {self.car}, {many(self._ticked, 'tick')}"
            self.host.save_draft(Draft(KEY + self.car, what, stopped, to_answers(self.held)))
        else:
            self.host.drop_draft(KEY + self.car)

    def _to(self, line: Step | JobLine) -> None:
        """Choose a line."""
        self._at = place_of(line)
        self.redraw()

    def _to_next(self, after: int) -> None:
        """Choose the first line after this place that is neither on nor ticked; else the first anywhere."""
        lines = self._state.lines
        left = [place for place, each in enumerate(lines) if self._may_be_ticked(each) and not self._of(each).at]
        place = next((each for each in left if each > after), left[0] if left else min(after, len(lines) - 1))
        if 0 <= place < len(lines):
            self._at = place_of(lines[place])

    # Scans.

    def _next_scan(self, step: Step) -> str:
        tick = self._of(step)
        if not tick.part:
            return "its label"
        left = [(printed, on) for printed, on in self._state.labels_of(step) if printed not in tick.scanned]
        return f"{left[0][1]} label {left[0][0][-2:]}" if left else "its plug's label"

    def _scan_part(self, step: Step) -> None:
        self._to(step)
        tick, name = self._of(step), line_name(self._state, step)
        if step.state == ON:
            self.host.say(f"{step.tag} is on already: {step.position}.")
        elif not self._may_be_ticked(step):
            self.host.say(f"{step.tag}: {'; '.join(step.notes) or 'cannot go on now'}.")
        elif tick.at:
            self.host.say(f"{step.tag} was ticked at {clock_time(tick.at)}.")
        elif tick.part:
            self.host.say(f"{step.tag} again: its own label. Now {self._next_scan(step)}.")
        else:
            self._hold(step, replace(tick, part=step.tag or ""))
            self.host.say(f"{step.tag} is step {step.order}, {name}. {self._waits_words(step)}".rstrip())
            self._after_scan(step)

    def _read_car_side(self, code: CarSideCode) -> None:
        """A label of the car side: of the chosen part if that was scanned; else of the part that it names."""
        here = self.here
        tag = here.tag if isinstance(here, Step) and self._of(here).part else code.tag
        asked = tag or code.tag
        self.read(
            "belongs",
            lambda session: data.car_side(session, asked, code.coded),
            lambda found: self._car_side_read(asked, code.printed, found),
        )

    def _car_side_read(self, tag: str, printed: str, found: Belongs) -> None:
        step = next((each for each in self._state.plan.steps if each.tag == (found.of or tag)), None)
        here = self.here
        scanned_here = isinstance(here, Step) and bool(self._of(here).part) and not self._of(here).at
        if step is None or (not found.fits and (scanned_here or not found.of)):
            self.app.bell()
            self.host.say(f"NO: {found.says}.")
        elif not self._may_be_ticked(step) or self._of(step).at:
            self._to(step)
            self.host.say(f"{found.says}. That part is {'ticked' if self._of(step).at else 'on, or away'}.")
        else:
            self._to(step)
            self._hold(step, self._of(step).with_label(printed))
            self.host.say(f"{found.says}.")
            self._after_scan(step)
        self.redraw()

    def _after_scan(self, step: Step) -> None:
        """Ask why if it is not ready; tick it if both were scanned, and nothing is asked about it."""
        tick = self._of(step)
        if self._asks:
            return
        if is_whole(tick, [printed for printed, _ in self._state.labels_of(step)]):
            self._tick(step, tick)
        elif tick.part and self._stops(step) and not tick.why:
            self._ask_why(step, "")

    # Answers.

    def _take_answer(self, line: Step | JobLine, words: str) -> None:
        answers = OF_A_JOB if isinstance(line, JobLine) else ANSWERS
        answer = chosen(words, answers) if words and not words.isdecimal() else None
        if not self._may_be_ticked(line):
            self.host.say(f"Nothing to tick here: {line_name(self._state, line)}. done writes what is ticked.")
        elif answer is None:
            self.host.say(f"Type: {', '.join(answers)}; or a step's number. done writes what is ticked.")
        elif answer == "not now":
            self._hold(line, Tick())
            self.host.say(f"{line_name(self._state, line)}: not now. Nothing is held for it.")
        elif self._of(line).at:
            self.host.say("It is ticked. To answer anew: not now, then the answer.")
        elif isinstance(line, JobLine):
            self._set_tick(line, Tick())
        else:
            self._answer_step(line, answer)

    def _answer_step(self, step: Step, answer: str) -> None:
        """A typed answer to whether a part is on."""
        tick = self._of(step)
        if answer == "differs":
            self._differing = {}
            self._asks = "axis" if step.axis or self._moves(step) else "fasteners"
        elif self._stops(step) and not tick.why:
            self._ask_why(step, answer)
        elif answer == "no label":
            self._tick(step, replace(tick, car_side="no label"))
        else:
            self._tick(step, replace(tick, axis=step.axis or "", fasteners="; ".join(step.fasteners)))

    def _answered(self, line: Step | JobLine, words: str) -> None:
        """The answer to a question beside the order: why, where, or what differs."""
        if not isinstance(line, Step):
            return
        asked = self._asks
        if asked in DIFFERS:
            self._take_difference(line, asked, words)
        elif asked == "why" and chosen(words, ANSWERS) == "differs":
            self._answer_step(line, "differs")  # as it lies now it may be ready
        elif fold(words) == "not now":
            self.back()
        elif is_no_name(words) or words.isdecimal() or chosen(words, (*ANSWERS, "done")) is not None:
            what = "the reason, for example: only to move the car" if asked == "why" else "the position's name"
            self.host.say(f"Give {what}. Esc leaves it off.")
        else:
            self._asks = ""
            name = "why" if asked == "why" else "position"
            self._hold(line, replace(self._of(line), **{name: words}))
            self._go_on(line)

    def _go_on(self, step: Step) -> None:
        """After why or where was answered: do what waited for it."""
        then, self._after = self._after, ""
        if then in ANSWERS:
            self._answer_step(step, then)
        elif then:
            self._tick(step, self._of(step))
        else:
            self.host.say(f"Held with the reason. Now {self._next_scan(step)}, or: {', '.join(ANSWERS)}.")
            self._after_scan(step)

    def _take_difference(self, step: Step, asked: str, words: str) -> None:
        answer = chosen(words, AXES) if asked == "axis" and words else words
        if answer is None or (words and is_no_name(words)):
            self.host.say(f"Type one of: {', '.join(AXES)}." if asked == "axis" else "Enter alone: as shown.")
            return
        self._differing |= {asked: answer}
        place = DIFFERS.index(asked) + 1
        self._asks = DIFFERS[place] if place < len(DIFFERS) else ""
        if not self._asks:
            self._differs(step, {name: value for name, value in self._differing.items() if value})

    def _differs(self, step: Step, given: dict[str, str]) -> None:
        """Tick a step with what differs, judged as it lies now."""
        if not given:
            self.host.say("Nothing differs, so nothing is ticked: type on as shown, or scan its label.")
            return
        shown = {"axis": step.axis or "", "fasteners": "; ".join(step.fasteners)}
        tick = replace(self._of(step), **(shown | given))
        if tick.axis == (step.axis or ""):
            self._tick(step, tick)
            return
        car = self.car

        def judged(ready: PositionReady) -> None:
            self.standing = replace(self._state, ready={**self._state.ready, ready.tag or "": ready})
            self._tick(step, tick)
            self.redraw()

        self.read("axis", lambda session: data.ready_as(session, car, step, tick.axis), judged)

    # Ticks.

    def _moves(self, step: Step) -> bool:
        return bool(step.kind) and self.sitting.record.reference.kind(step.kind or "").moving_element

    def _stops(self, step: Step) -> tuple[str, ...]:
        ready = self._state.readiness(step)
        return tuple(each.says for each in ready.stops) if ready else ()

    def _ask_why(self, step: Step, then: str) -> None:
        self._to(step)
        self._asks, self._after = "why", then
        self.host.say(f"NOT READY, {line_name(self._state, step)}: {'; '.join(self._stops(step))}.")

    def _waits_words(self, step: Step) -> str:
        waits = open_waits(self._state, step, self.held) if step.state == WAITS else ()
        return f"Out of order: {', '.join(waits)} should be on before." if waits else ""

    def _tick(self, step: Step, tick: Tick) -> None:
        """Tick a step, if it is known where it goes and why in spite of what stops it."""
        self._hold(step, tick)
        if self._stops(step) and not tick.why:
            self._ask_why(step, "tick")
        elif step.position_id is None and not tick.position:
            self._asks, self._after = "position", "tick"
        else:
            self._set_tick(step, tick)

    def _set_tick(self, line: Step | JobLine, tick: Tick) -> None:
        name = line_name(self._state, line)
        against = f" against advice: {tick.why}" if tick.why else ""
        said = [f"{name}: ticked{against}.", self._waits_words(line) if isinstance(line, Step) else ""]
        if isinstance(line, Step) and tick.axis and tick.axis != (line.axis or tick.axis):
            said.append(f"It lies {SAID[tick.axis]} now.")
        self._hold(line, replace(tick, at=stamp(now())))
        said.append(f"{many(self._ticked, 'tick')} held: type done to write.")
        self.host.say(" ".join(filter(None, said)))
        self._to_next([place_of(each) for each in self._state.lines].index(place_of(line)))


def place_of(line: Step | JobLine) -> str:
    """What stays the same of a line when the plan is read again."""
    return line.key if isinstance(line, JobLine) else f"{line.position} {line.tag}"
