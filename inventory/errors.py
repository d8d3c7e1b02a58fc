"""What the program says when it will not do something.

One class a sentence. Nothing is imported here, so every room may raise these. The doors print
`message` and `hint` and map the class to an exit status; they add no words of their own.
Tone: what happened, what is safe, what to do. Never "error", "invalid" or "failed".
"""

from __future__ import annotations

__all__ = ["Damaged", "Misused", "Refused", "UnknownName"]


class Refused(Exception):
    """Input was not taken; nothing was changed. Exit status 3.

    `code` is kebab-case and stable; `where` names file, row, option or thing; `hint` is what to do next.
    """

    exit_status = 3

    def __init__(self, code: str, message: str, *, where: str | None = None, hint: str | None = None) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.where = where
        self.hint = hint

    def as_dict(self) -> dict[str, str | None]:
        """The object that stands under `error` in JSON."""
        return {"code": self.code, "message": self.message, "where": self.where, "hint": self.hint}


class Misused(Refused):
    """The command itself was put wrongly. Exit status 2."""

    exit_status = 2


class Damaged(Refused):
    """The record on disk is not as this program wrote it. Exit status 3."""


class UnknownName(Refused):
    """A name that is on no list, with the nearest ones that are."""

    def __init__(self, what: str, name: str, near: list[str], *, where: str | None = None) -> None:
        hint = f"near: {', '.join(near)}" if near else None
        super().__init__(f"unknown-{what.replace(' ', '-')}", f'no {what} "{name}"', where=where, hint=hint)
        self.near = near
