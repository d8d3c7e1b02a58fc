"""What the program says when it refuses something.

Nothing is imported here, so every module may raise these. `message` says what happened, `hint` what to do. The doors
print both, map the class to an exit status, and add "Nothing was changed" where somebody wanted to write and that is
true. No message says it itself. Never "error", "invalid" or "failed".
"""

from __future__ import annotations

__all__ = ["Damaged", "Misused", "Refused", "Stopped", "UnknownName", "did_you_mean"]


class Refused(Exception):
    """Something was refused. Exit status 3.

    `code`: kebab-case, stable. `where`: the file, row, option or thing. `hint`: what to do next. `unchanged`: whether
    record and files are as before; False where part of the work is kept, or where that cannot be known.
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

    def as_dict(self) -> dict[str, str | bool | None]:
        """The object under `error` in JSON."""
        return {
            "code": self.code,
            "message": self.message,
            "where": self.where,
            "hint": self.hint,
            "unchanged": self.unchanged,
        }


class Misused(Refused):
    """The command was typed wrongly. Exit status 2."""

    exit_status = 2


class Damaged(Refused):
    """The record on disk is not as this program wrote it."""


class Stopped(Refused):
    """The work was interrupted, or the program itself broke; the message says what is true of the record."""


class UnknownName(Refused):
    """A name that is not known; the hint gives the nearest known ones, or all of `known` where none is near.

    `what` makes the code; `shown` is what the message calls it instead, such as an option.
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
        self.near = near
        hint = did_you_mean(near) or (f"one of: {', '.join(known)}" if known else None)
        super().__init__(
            f"unknown-{what.replace(' ', '-')}", f'unknown {shown or what} "{name}"', where=where, hint=hint
        )


def did_you_mean(near: list[str]) -> str | None:
    """A question that names what is near to a name that is not known; None where nothing is."""
    return f"did you mean {' or '.join([', '.join(near[:-1]), near[-1]] if near[1:] else near)}?" if near else None
