"""One module for each view."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tui.sitting import Sitting
    from tui.view import View

__all__ = ["make_view"]


def make_view(name: str, sitting: Sitting, of: Any = None) -> View:
    """Make a view by its name; `of`: the part, car or view it is about. Its module is imported when first used."""
    from importlib import import_module

    module, view = _VIEWS[name]
    made: View = getattr(import_module(f"tui.screens.{module}"), view)(sitting, *(() if of is None else (of,)))
    return made


_VIEWS = {
    "today": ("today", "Today"),
    "find": ("find", "Find"),
    "card": ("card", "Card"),
    "strip": ("strip_start", "StripStart"),
    "strip car": ("strip", "Strip"),
    "belongs": ("belongs", "Belongs"),
    "refit": ("refit_start", "RefitStart"),
    "refit car": ("refit", "Refit"),
    "got": ("got", "Got"),
    "bench": ("bench", "Bench"),
    "pair": ("pair", "Pair"),
    "worth": ("worth", "Worth"),
    "worth card": ("card", "WorthCard"),
    "note value": ("note_value", "NoteValue"),
    "offer": ("offered", "Offered"),
    "offers seen": ("offers_seen", "OffersSeen"),
    "count": ("count", "Count"),
    "note a seal": ("seal", "NoteSeal"),
    "document": ("pictures", "Pictures"),
    "label": ("label", "LabelView"),
    "move": ("move", "Move"),
    "amend": ("amend", "Amend"),
    "settle": ("settle", "Settle"),
    "mishap": ("happened", "Mishap"),
    "note work": ("happened", "NoteWork"),
    "first start": ("first_start", "FirstStart"),
    "hand over": ("hand_over", "HandOver"),
    "take back": ("take_back", "TakeBack"),
    "in": ("read_in", "ReadIn"),
    "trial": ("trial", "SheetTrial"),
    "sheet headers": ("trial_beside", "SheetHeaders"),
    "sheet rows": ("trial_beside", "SheetRows"),
    "out": ("write_out", "WriteOut"),
    "list out": ("list_out", "ListOut"),
    "paper out": ("paper_out", "PaperOut"),
    "help": ("help", "Help"),
}
