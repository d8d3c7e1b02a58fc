"""Out: claim, passport, sale sheet, setting paper, page for those who come after: asked, seen, written, given."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from tui.data import papers_out as data
from tui.data.leaving import Said, Written
from tui.questions import Question, chosen
from tui.screens.leaving import Leaving
from tui.screens.write_out import PAPER_TITLES
from tui.sitting import Sitting

if TYPE_CHECKING:
    from inventory.errors import Refused

__all__ = ["PaperOut"]

_AGREE = ("write it all the same", "go back")
_GOES = ("yes", "no")
_NAMES = ("put roles in their place", "leave the names")


class PaperOut(Leaving):
    """One paper; `of`: its sort, and the tag of the part in front ("" if none)."""

    def __init__(self, sitting: Sitting, of: tuple[str, str]) -> None:
        super().__init__(sitting)
        self._sort, self._tag = data.PAPERS[of[0]], of[1]
        self._sort_name = of[0]
        self.formats = (self._sort.ends,)
        self._answers: dict[str, str] = {}
        self._looked: data.Looked | None = None
        self._to_ask: tuple[data.Enclosed, ...] = ()
        self._go: tuple[str, ...] = ()
        self._names: data.NamesIn = None
        self.at = "ask"

    def where(self) -> str:
        """The paper."""
        return f"Out: {PAPER_TITLES[self._sort_name].partition(':')[0]}"

    def part_tag(self) -> str | None:
        """The part that it is about."""
        return self._answers.get("part")

    def help_text(self) -> tuple[str, ...]:
        """What the paper is."""
        return (
            self._sort.about,
            "You see it first; nothing is written before you name the file. Written is not given out: say to whom it "
            "goes when it goes, here or later by its command with the word given. It is not taken back with Ctrl+Z.",
        )

    def opened(self) -> None:
        """Show what is asked."""
        self.redraw()

    def name_offered(self) -> str:
        """The sort, and what it is about."""
        about = self._answers.get("part") or self._answers.get("named") or ""
        stem = re.sub(r"[^\w-]+", "-", f"{self._sort_name}-{about}").strip("-").lower()
        return f"{stem}.{self._sort.ends}"

    def own_question(self) -> Question:
        """The next thing to say, then each thing to decide."""
        if self.at == "look":
            return Question("Looked at?", enter="goes on to the file")
        if self.at == "agree":
            return Question("", _AGREE)
        if self.at == "go":
            return Question("Does it go too?", _GOES)
        if self.at == "names":
            return Question("Names:", _NAMES)
        ask = self._ask()
        return Question(ask.words, enter=self._tag if ask.key == "part" and self._tag else ask.enter)

    def _ask(self) -> data.Ask:
        return self._sort.asks[min(len(self._answers), len(self._sort.asks) - 1)]

    def take_own(self, words: str) -> None:
        """An answer, or a decision."""
        match self.at:
            case "ask":
                self._answer(words)
            case "look":
                self._decide("look")
            case "agree":
                self._agree(chosen(words, _AGREE))
            case "go":
                self._take_document(chosen(words, _GOES))
            case "names":
                self._take_names(chosen(words, _NAMES))

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """A label answers where a part is asked."""
        if self.at != "ask" or self._ask().key not in ("part", "unit"):
            return False
        self._answer(tag)
        return True

    def _answer(self, words: str) -> None:
        ask = self._ask()
        answer = words or (self._tag if ask.key == "part" else "")
        if not answer and not ask.enter:
            self.host.say("Answer this first: without it the paper cannot be made.")
            return
        self._answers[ask.key] = answer
        self.redraw()
        if len(self._answers) == len(self._sort.asks):
            self._look()

    def _look(self) -> None:
        sort, record, by, answers = self._sort, self.sitting.record, self.sitting.by, dict(self._answers)
        self.while_busy("Drawing it")
        self.at = ""

        def show(looked: data.Looked) -> None:
            self.done()
            self._looked, self.at = looked, "look"
            self.redraw()

        self.read("paper", lambda session: sort.look(session, record, by, answers), show)

    def _decide(self, after: str) -> None:
        """Go on to the next thing to decide, then to the file."""
        looked = self._looked
        if looked is None:
            return
        if after == "look" and looked.agree:
            self.at = "agree"
        else:
            self._to_ask, self._go, self._names = looked.may_go, (), None
            self.at = "go" if self._to_ask else "file"
        self.redraw()

    def _agree(self, picked: str | None) -> None:
        if picked == _AGREE[0]:
            self._decide("agree")
        elif picked == _AGREE[1]:
            self.at = "look"
            self.redraw()
        else:
            self.host.say("Type 1 or 2.")

    def _take_document(self, picked: str | None) -> None:
        if picked is None:
            self.host.say("Type 1 or 2: no document goes unasked.")
            return
        if picked == _GOES[0]:
            self._go = (*self._go, self._to_ask[0].digest)
        self._to_ask = self._to_ask[1:]
        self.at = "go" if self._to_ask else "file"
        self.redraw()

    def _take_names(self, picked: str | None) -> None:
        if picked is None:
            self.host.say("Type 1 or 2; Esc goes back and writes nothing.")
            return
        self._names = "cut" if picked == _NAMES[0] else "keep"
        self.write_now()

    def was_refused(self, refused: Refused) -> None:
        """Names that stand in texts are decided, then it is written; answers of which nothing can be made go back."""
        super().was_refused(refused)
        if refused.code == "names-in-texts":
            self.at = "names"
        elif self._looked is None and self._answers:
            self._answers.popitem()
            self.at = "ask"
        self.redraw()

    def back_own(self) -> bool:
        """The step before."""
        if self.at in ("agree", "go", "names"):
            self.at = "look"
        elif self._answers:
            self._answers.popitem()
            self._looked, self.at = None, "ask"
        else:
            return False
        self.redraw()
        return True

    def preview(self) -> Said:
        """What was answered, the paper, or what is to be decided."""
        if self.at == "agree" and self._looked is not None:
            return (("Half of a pair", (self._looked.agree,)),)
        if self.at == "go":
            more = len(self._to_ask) - 1
            return ((self._to_ask[0].says, (f"{more} more to ask about",) if more else ()),)
        if self._looked is not None:
            return self._looked.says
        answers = tuple(f"{key}: {answer or 'not said'}" for key, answer in self._answers.items())
        return ((PAPER_TITLES[self._sort_name], answers),)

    def write_paper(self, path: Path, overwrite: bool) -> Written:
        """Write it."""
        decided = data.Chosen(dict(self._answers), self._go, self._names)
        return self._sort.write(self.sitting.record, self.sitting.by, path, decided, overwrite)
