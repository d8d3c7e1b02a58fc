"""Pictures that came into the folder since the part before the last one was logged are offered for the last one."""

from __future__ import annotations

from pathlib import Path

from tui.data import pictures as data
from tui.questions import Question
from tui.view import View
from tui.words import many

__all__ = ["PictureOffer"]

_SHOWS = ("whole", "where it sat")


class PictureOffer:
    """What is offered in a view of a strip-down; once left, the same pictures are not offered again."""

    def __init__(self, view: View, car: str) -> None:
        self._view = view
        self._car = car
        self._found: data.NewSince | None = None
        self._left: set[Path] = set()

    @property
    def question(self) -> Question | None:
        """The offer beside the question for the label; None if there are no such pictures."""
        found = self._found
        if found is None:
            return None
        than = f"newer than part {found.since}" if found.since else "since the start"
        ask = f"Label, or {many(len(found.pictures), 'picture')} {than}:"
        return Question(ask, (f"part {found.number}", "where it sat"))

    def look(self) -> None:
        """Look into the folder, in the background, if one is chosen."""
        sitting, car = self._view.sitting, self._car
        folder = data.kept_folder(sitting.record, sitting.by)
        if folder is not None and not self._view.host.is_away:
            self._view.read(
                "new pictures", lambda session: data.new_since(session, car, folder), self._show, background=True
            )

    def take(self, words: str) -> bool:
        """Attach them if the answer is 1 or 2; whether it was."""
        found = self._found
        if found is None or words not in ("1", "2"):
            return False
        self._found = None
        by, shows, paths = (
            self._view.sitting.by,
            _SHOWS[int(words) - 1],
            [each.path for each in reversed(found.pictures)],
        )
        counted = many(len(paths), "picture")
        self._view.write(
            lambda session: data.attach_files(session, by, found.tag, paths, shows),
            lambda _: f"{counted} attached to part {found.number}, {found.tag}. Ctrl+Z takes that back.",
            files=paths,
        )
        return True

    def leave(self) -> bool:
        """Leave the pictures that are offered; whether there were any."""
        if self._found is None:
            return False
        self._left.update(each.path for each in self._found.pictures)
        self._found = None
        return True

    def _show(self, found: data.NewSince | None) -> None:
        new = tuple(each for each in found.pictures if each.path not in self._left) if found else ()
        self._found = data.NewSince(found.tag, found.number, found.since, new) if found and new else None
        self._view.host.show_foot()
