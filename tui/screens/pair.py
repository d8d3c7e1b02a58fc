"""Pair: which units belong together, how certain that is, why, and the cheapest next step; reserved parts."""

from __future__ import annotations

import re

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from tui.data import pair as data
from tui.data.pair import PairLine, SetLine
from tui.questions import Question, chosen
from tui.safe import crop, shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["Pair"]

_SHOWS = ("pairs", "with those ruled out", "plan of the shelf", "injectors in sets")
_PLAN, _SETS = 2, 3
_SIZES = re.compile(r"(\d{1,2})(?:\s*(?:x|,|of|sets?|\s)\s*(\d{1,2}))?")


class Pair(View):
    """The pairs on the left; the chosen pair with its reasons on the right."""

    DEFAULT_CSS = """
    Pair > .heading { height: 1; text-style: bold; text-wrap: nowrap; text-overflow: ellipsis; }
    Pair > Horizontal { height: 1fr; }
    Pair .halves { width: 39; height: 1fr; }
    Pair .pair { width: 1fr; height: 1fr; padding: 0 0 0 1; scrollbar-gutter: stable; scrollbar-size-vertical: 1; }
    """

    def __init__(self, sitting: Sitting, tag: str = "") -> None:
        super().__init__(sitting)
        self._tag = tag
        self._shows = 0
        self._steps = 0
        self._in_set, self._sets = 6, 1
        self._none = ""
        self._heading = Static(classes="heading")
        self._rows = RowList(_draw)
        self._pair = Static()
        self._scroll = VerticalScroll(classes="pair", can_focus=False)
        self._why = Static()

    def compose(self) -> ComposeResult:
        """The list, the chosen pair, and the reasons."""
        yield self._heading
        with Horizontal():
            with Vertical(classes="halves"):
                yield self._rows
            yield Static(Content("\n".join("\N{BOX DRAWINGS LIGHT VERTICAL}" * 200)), classes="upright between")
            with self._scroll:
                yield self._pair
            with VerticalScroll(classes="why", can_focus=False):
                yield self._why

    def where(self) -> str:
        """The part whose mates are shown."""
        return f"Pair: {self._tag}" if self._tag else "Pair"

    def middle(self) -> str:
        """Which list is shown."""
        return _SHOWS[self._shows]

    def question(self) -> Question:
        """A label shows that part's mates; a number reserves or releases a part of the chosen line."""
        if self._shows == _SETS:
            return Question("How many in a set, and how many sets (e.g. 6 2):")
        return Question("Label for mates:", self._acts(), enter="opens it")

    def keys(self) -> tuple[str, ...]:
        """Tab changes what is listed."""
        return ("Enter", "Esc", "Right", "Left", "Tab", "Space", "?")

    def help_text(self) -> tuple[str, ...]:
        """What the grades mean."""
        return (
            "Confirmed: the numbers fit, the letters were read on both parts and are equal, the sensor's seals are "
            "intact, and the control unit raises no doubt. Probable: a seal of the sensor was not seen, or a letter "
            "is missing and the two came off one car in one strip-down. Possible: a letter is missing, a seal is "
            "disturbed or gone, one of the two was opened, or nothing is on record about their numbers. Ruled out: "
            "letters differ, or numbers do not fit. A failed test changes no grade: it stands beside it.",
            "Right shows the reasons one by one. Tab also shows the pairs that are ruled out, then the plan of the "
            "whole shelf: sensors left over at the top, control units at the bottom, with the reason and what to look "
            "out for.",
            "Tab again shows the injectors whose flows, measured in one session on one rig, are closest, and whether "
            "the next best set is really worse. Record flows at the bench, or read in a sheet of runs.",
            "The numbers after the question reserve a part of the chosen line. No plan uses it until it is released. "
            "Ctrl+Z takes either back.",
        )

    def part_tag(self) -> str | None:
        """The part the list is about, or the sensor of the chosen pair."""
        item = self._rows.item
        return self._tag or (item.tags[0] if isinstance(item, PairLine) else None)

    def opened(self) -> None:
        """Judge the pairs again."""
        tag, shows = self._tag, self._shows
        self._heading.update(shown(" Comparing numbers, letters and seals", "$text-muted"))
        size, count = self._in_set, self._sets
        if shows == _PLAN:
            self.read("pairs", data.shelf_plan, self._show)
        elif shows == _SETS:
            self.read("pairs", lambda session: data.sets_of(session, size, count), self._show)
        else:
            self.read("pairs", lambda session: data.pairs_of(session, tag, all_of_them=shows == 1), self._show)

    def take(self, text: str) -> None:
        """Reserve or release a part by number; else open the mate, or search the typed text."""
        item = self._rows.item
        if self._shows == _SETS and (asked := _SIZES.fullmatch(text.strip())) is not None:
            self._in_set, self._sets = int(asked[1]), int(asked[2] or 1)
            self._steps = 0
            self.opened()
        elif (act := chosen(text, self._acts())) is not None:
            self._reserve_or_release(act)
        elif text.strip():
            self.host.open(make_view("find", self.sitting, text.strip()))
        elif isinstance(item, PairLine):
            self.host.open_part(next((tag for tag in item.tags if tag != self._tag), self._tag))

    def tag_read(self, tag: str, *, by_hand: bool) -> bool:
        """Show this part's mates."""
        self._tag, self._shows, self._steps = tag, 0, 0
        self.opened()
        return True

    def steer(self, key: str) -> None:
        """Choose; unfold the reasons; change what is listed."""
        if key in ("tab", "shift+tab"):
            self._shows = (self._shows + (1 if key == "tab" else -1)) % len(_SHOWS)
            self._steps = 0
            self.opened()
        elif key in ("right", "left"):
            if key == "left" and not self._steps:
                self.host.back()
                return
            self._steps = max(self._steps + (1 if key == "right" else -1), 0)
            self._draw_pair()
            self.call_after_refresh(self._scroll.scroll_end, animate=False)
        elif key in ("pageup", "pagedown"):
            height = max(self._scroll.size.height - 1, 1)
            self._scroll.scroll_relative(y=height if key == "pagedown" else -height, animate=False)
        else:
            self._steps = 0
            self._rows.steer(key)
            self._scroll.scroll_home(animate=False)

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Show the chosen pair."""
        self._draw_pair()
        self.host.show_foot()

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap on the chosen pair shows one more reason."""
        if event.again:
            self._steps += 1
            self._draw_pair()

    def on_resize(self) -> None:
        """Redraw at the new width."""
        self.call_after_refresh(self._draw_pair)

    def _acts(self) -> tuple[str, ...]:
        """Reserve or release, for each part of the chosen line."""
        item = self._rows.item
        if not isinstance(item, PairLine):
            return ()
        return tuple(f"{'release' if tag in item.reserved else 'reserve'} {tag}" for tag in item.tags)

    def _reserve_or_release(self, act: str) -> None:
        word, tag = act.split(" ")
        by, work = self.sitting.by, data.reserve if word == "reserve" else data.release
        self.write(
            lambda session: work(session, by, tag),
            lambda _: f"{tag} {'is reserved' if word == 'reserve' else 'is released'}. Ctrl+Z takes it back.",
            then=lambda _: self.opened(),
        )

    def _show(self, found: data.Pairs) -> None:
        self._heading.update(shown(f" {found.heading}"))
        self._none = found.none
        self._rows.fill(Fixed(found.lines))
        self._draw_pair()

    def _draw_pair(self) -> None:
        item = self._rows.item
        if not isinstance(item, PairLine | SetLine):
            width = max(self._pair.size.width - 1, 20)
            self._pair.update(Content("\n").join(shown(self._none).wrap(width)) if self._none else "")
            self._why.update("")
            return
        width = max(self._pair.size.width - 1, 20)
        lines = _in_full(item, width)
        self._steps = min(self._steps, len(item.reasons))
        for reason in item.reasons[: self._steps]:
            lines += [Content(""), *(part for line in reason for part in shown(line).wrap(width))]
        if self._steps < len(item.reasons):
            more = len(item.reasons) - self._steps
            lines += [Content(""), shown(f"Right shows why: {more} more", "$text-muted")]
        self._pair.update(Content("\n").join(lines))
        self._draw_why(item)

    def _draw_why(self, item: PairLine | SetLine) -> None:
        width = max(self._why.size.width - 1, 20)
        lines = [shown("Why", "bold")]
        for reason in item.reasons:
            lines += [Content(""), *(part for line in reason for part in shown(line).wrap(width))]
        self._why.update(Content("\n").join(lines))


def _in_full(item: PairLine | SetLine, width: int) -> list[Content]:
    """The chosen line in full, without its reasons."""
    if isinstance(item, SetLine):
        tags = [part for tag in item.tags for part in shown(tag).wrap(width)]
        return [shown(item.title.upper(), "bold"), *shown(item.says).wrap(width), *tags]
    both = f"{item.sensor} with {item.unit}" if len(item.tags) > 1 else f"{item.tags[0]} is left over"
    lines = [shown(both, "bold"), shown(item.grade.upper(), "bold"), *shown(item.says).wrap(width)]
    if item.next_step:
        lines += [Content(""), *shown(f"Next: {item.next_step}").wrap(width)]
    return lines


def _draw(row: object, width: int) -> Content:
    if isinstance(row, SetLine):
        return shown(crop(f"{row.title}: {', '.join(row.tags)}", width))
    if not isinstance(row, PairLine):
        return Content("")
    also = f"{', failed' if row.failed else ''}{', reserved' if row.reserved else ''}"
    word = "reserved" if row.reserved and len(row.tags) == 1 else f"{row.grade}{also}"
    return shown(crop(f"{row.sensor:<8} {row.unit:<8} {word}", width))
