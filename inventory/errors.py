"""The refusals: what the program says when it does not do what was asked.

This module imports nothing, so every module may raise these. `message` says what happened, `hint` what to do. The
doors print both, use the exit status of the class, and add "Nothing was changed" after a refused write if it is true;
messages never say it themselves. They never use the words error, invalid or failed.
"""

from __future__ import annotations

__all__ = ["Damaged", "Misused", "NearName", "Refused", "Stopped", "UnknownName", "did_you_mean"]


class Refused(Exception):
    """Something was refused. Exit status 3.

    `code`: kebab-case, stable. `where`: the file, row, option or thing. `hint`: what to do next. `unchanged`: record
    and files are as before; False if part of the work was kept, or if that is not known. `near`: the near names, if a
    name is not on record.
    """

    exit_status = 3

    def __init__(
        self, code: str, message: str, *, where: str | None = None, hint: str | None = None, unchanged: bool = True
    ) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.where = where
        self.hint = hint
        self.unchanged = unchanged
        self.near: list[str] = []

    def as_dict(self) -> dict[str, str | bool | list[str] | None]:
        """The object under `error` in JSON."""
        return {
            "code": self.code,
            "message": self.message,
            "where": self.where,
            "hint": self.hint,
            "unchanged": self.unchanged,
            **({"near": self.near} if self.near else {}),
        }


class Misused(Refused):
    """The command was typed wrongly. Exit status 2."""

    exit_status = 2


class Damaged(Refused):
    """The record on disk is not as this program wrote it."""


class Stopped(Refused):
    """The work was interrupted, or the program itself broke; the message says what was written."""


class UnknownName(Refused):
    """An unknown name. The hint gives the nearest known names, or all of `known` if none is near.

    `what` makes the code; `shown` is the word for it in the message, if that is another one (e.g. an option).
    """

    def __init__(
        self,
        what: str,
        name: str,
        near: list[str],
        *,
        known: tuple[str, ...] = (),
        where: str | None = None,
        shown: str = "",
    ) -> None:
        hint = did_you_mean(near) or (f"one of: {', '.join(known)}" if known else None)
        super().__init__(
            f"unknown-{what.replace(' ', '-')}", f'unknown {shown or what} "{name}"', where=where, hint=hint
        )
        self.what = what
        self.name = name
        self.near = near


class NearName(Refused):
    """A name that is not on record but looks like some that are: somebody must say which is meant, or that it is new.

    `what`: the sort of the name, e.g. place.
    """

    def __init__(self, what: str, name: str, near: list[str]) -> None:
        super().__init__(
            "near-name",
            f'the {what} "{name}" is not on record; near: {", ".join(near)}',
            where=what,
            hint="write the name that is on record; or, if this is another one, repeat the command with --new",
        )
        self.what = what
        self.name = name
        self.near = near


def did_you_mean(near: list[str]) -> str | None:
    """The question "did you mean ...?" with these names; None if there are none."""
    return f"did you mean {' or '.join([', '.join(near[:-1]), near[-1]] if near[1:] else near)}?" if near else None
