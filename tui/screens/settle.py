"""What settles it: two sayings on record that cannot both be true, what that means meanwhile, and the answers."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from inventory.contradictions.looks import SEAL
from inventory.errors import Refused
from inventory.parts.tags import is_tag
from inventory.store.words.nothing import is_no_name, name_given
from tui.data import acts
from tui.data import settling as data
from tui.data.settling import Saying, Unfitting, Way
from tui.questions import Question, chosen
from tui.safe import hanging, plain, shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.words import numbered

__all__ = ["Settle"]

_LEAD = 12


class Settle(View):
    """What is open on one thing, one contradiction after the other; `of`: the thing, and what of it is asked (all)."""

    def __init__(self, sitting: Sitting, of: tuple[str, tuple[str, ...]]) -> None:
        super().__init__(sitting)
        self._thing, self._asked = of
        self._answered: set[tuple[str, tuple[Saying, ...]]] = set()
        self._left: tuple[Unfitting, ...] = ()
        self._way: Way | None = None
        self._given: dict[str, str] = {}
        self._seals: tuple[str, ...] = ()
        self._was_shown = False
        self._rows = RowList(self._draw, choosable=lambda row: isinstance(row, Way))
        self._rows.steered = False

    def compose(self) -> ComposeResult:
        """The sayings and the answers, in one column."""
        yield self._rows

    def where(self) -> str:
        """The thing."""
        return f"Does not fit: {self._thing}"

    def middle(self) -> str:
        """How many are left, if more than one."""
        return f"{len(self._left)} things do not fit" if len(self._left) > 1 else ""

    def question(self) -> Question:
        """Which answer, then what belongs to it."""
        if self._way is None:
            return Question(f"What settles it? 1 to {len(self._ways())}; Esc leaves it open:")
        if len(self._given) == len(self._way.asks):
            return Question("One moment:")
        further = self._way.asks[len(self._given)]
        return Question(further.ask, self._seals if further.name == "which" else (), further.enter)

    def help_text(self) -> tuple[str, ...]:
        """What each answer does."""
        return (
            "Two things on record cannot both be true. Neither is deleted. Until it is settled, the worse one counts, "
            "on the card, for pairs and on lists. You are asked once, right after writing; later, open it from Today, "
            "or on the part's card with its number and Enter.",
            "A paper, a picture or a test settles it for good. A bare word settles it too, but then the finding and "
            "the word both stay on the card and on the list.",
        )

    def part_tag(self) -> str | None:
        """The part."""
        return self._thing if is_tag(self._thing) else None

    def opened(self) -> None:
        """Read what is open."""
        by, thing = self.sitting.by, self._thing
        self.read("open", lambda session: data.open_on(session, by, thing), self._show)

    def steer(self, key: str) -> None:
        """Choose an answer; Right opens the card, with the pictures."""
        if key == "right" and self.part_tag():
            self.host.open_part(self._thing)
        elif self._way is None:
            self._rows.steered = True
            self._rows.steer(key)

    def back(self) -> bool:
        """From a further question to the answers."""
        if self._way is None:
            if self._left:
                self.host.say("It stays open; Today shows it.")
            return False
        self._way = None
        self._fill()
        return True

    def take(self, text: str) -> None:
        """The answer, then what belongs to it."""
        words = plain(text).strip()
        if self._way is None:
            self._choose(words)
        else:
            self._take_further(self._way, words)

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap chooses, a second one takes."""
        self._rows.steered = True
        if event.again and self._way is None:
            self._choose("")

    def was_refused(self, refused: Refused) -> None:
        """Ask the last question again."""
        if self._given:
            self._given.popitem()
        if self._way is not None and not self._way.asks:
            self._way = None

    # Inside.

    def _ways(self) -> tuple[Way, ...]:
        return self._left[0].ways if self._left else ()

    def _choose(self, words: str) -> None:
        ways = self._ways()
        says = chosen(words, tuple(way.says for way in ways)) if words else None
        way = next((each for each in ways if each.says == says), None)
        if not words and self._rows.steered and isinstance(self._rows.item, Way):
            way = self._rows.item
        if way is None:
            self.host.say(f"Type 1 to {len(ways)}; Esc leaves it open, and Today shows it.")
            return
        self._way, self._given = way, {}
        self._fill()
        if not way.asks:
            self._settle(way)
        elif way.asks[0].name == "which":
            thing = self._thing
            self.read("seals", lambda session: acts.seals_of(session, thing), self._show_seals)

    def _show_seals(self, seals: tuple[acts.SealLine, ...]) -> None:
        about = self._left[0].about
        self._seals = tuple(seal.name for seal in seals if not about.endswith(f" {seal.name}"))

    def _take_further(self, way: Way, words: str) -> None:
        further = way.asks[len(self._given)]
        if further.name == "why" and is_no_name(words):
            words = ""
        if not words and not further.enter:
            of_a_seal = self._left[0].about.startswith(SEAL)
            example = ", for example: it was the case label that I saw" if of_a_seal else ""
            self.host.say(f"Say why in a few words{example}.")
            return
        if further.name == "which" and words:
            words = chosen(words, self._seals) or ("" if words.isdecimal() else name_given("seal", words))
            if not words or self._left[0].about.endswith(f" {words}"):
                self.host.say(f"Another seal: 1 to {len(self._seals)}, or its name.")
                return
        self._given[further.name] = words
        if len(self._given) == len(way.asks):
            self._settle(way)

    def _settle(self, way: Way) -> None:
        found, given, by, folder = self._left[0], dict(self._given), self.sitting.by, self.sitting.folder
        self.write(
            lambda session: data.settle(session, by, found, way, given, folder),
            lambda said: said,
            then=lambda _: self._next(found),
        )

    def _next(self, found: Unfitting) -> None:
        self._answered.add((found.about, found.sayings))
        self.opened()

    def _show(self, found: tuple[Unfitting, ...]) -> None:
        self._left = tuple(
            each
            for each in found
            if (each.about, each.sayings) not in self._answered and each.about in (self._asked or (each.about,))
        )
        self._way, self._given = None, {}
        if self._left:
            self._was_shown = True
            self._fill()
            return
        self.host.close()
        if not self._was_shown:
            self.host.say(f"Nothing is open on {self._thing}.")

    def _fill(self) -> None:
        if not self._left:
            return
        found, width = self._left[0], max(self.size.width - 4, 30)
        ways = found.ways if self._way is None else (self._way,)
        blank = Content("")
        names = max(len(name) for name, _ in found.until) + 2
        rows: list[object] = [shown(found.head, "bold"), blank]
        for saying in found.sayings:
            lead = f"{'You say' if saying.mine else 'On record':<{_LEAD}}"
            rows += hanging(lead, f"{saying.says}  ({saying.source})", width)
        rows += [blank, *shown(f"{_all(found)} Until this is settled {found.counts}.").wrap(width)]
        for name, says in found.until:
            rows += hanging(f"  {name:<{names}}", says, width)
        rows += [blank, Content("What settles it").stylize("bold"), *ways]
        if self._rows.size.height and len(rows) > self._rows.size.height:
            rows = [row for row in rows if row is not blank]
        self._rows.fill(Fixed(rows), cursor=len(rows) - len(ways))

    def on_resize(self) -> None:
        """Wrap the text at the new width."""
        self.call_after_refresh(self._fill)

    def _draw(self, row: object, width: int) -> Content:
        if not isinstance(row, Way):
            return row if isinstance(row, Content) else Content("")
        ways = self._ways()
        if row not in ways:  # drawn once more after the last answer was taken
            return Content("")
        column = max(len(way.says) for way in ways)
        lead = numbered(ways.index(row) + 1, f"{row.says:<{column}}")
        return Content.assemble(shown(lead), "  ", shown(row.leads_to, "$text-muted"))


def _all(found: Unfitting) -> str:
    return "Both stay." if len(found.sayings) == 2 else "All stay."
