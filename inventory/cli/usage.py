"""Sentences for misused commands, in place of the command-line library's own."""

from __future__ import annotations

import re

import click

from inventory.errors import did_you_mean

__all__ = ["no_such_command", "usage_sentence"]

_QUOTED = re.compile(r"^'(.*)' is not ", re.DOTALL)
_EXTRA = re.compile(r"^Got unexpected extra arguments? \((.*)\)$", re.DOTALL)


def usage_sentence(problem: click.ClickException) -> str:
    """One sentence that says what is wrong with the command line."""
    where = problem.ctx.command_path if isinstance(problem, click.UsageError) and problem.ctx else "matchmark"
    match problem:
        case click.MissingParameter():
            return f"{where} needs {_named(problem)}"
        case click.NoSuchOption():
            near = did_you_mean(list(problem.possibilities or ()))
            return f"{where} has no option {problem.option_name}" + (f"; {near}" if near else "")
        case click.BadOptionUsage():
            wants_none = "does not take" in problem.message
            return f"{problem.option_name} takes no value" if wants_none else f"{problem.option_name} needs a value"
        case click.BadParameter():
            typed = _QUOTED.match(problem.message)
            given = f', not "{typed[1]}"' if typed else ""
            return f"{_named(problem)} takes {_wanted(problem.param)}{given}"
    if extra := _EXTRA.match(problem.message):
        return f'{where} takes no further argument: "{extra[1]}"'
    if problem.message.startswith("There is no"):
        return problem.message
    if isinstance(problem, click.UsageError) and problem.ctx and isinstance(problem.ctx.command, click.Group):
        few = problem.ctx.command.list_commands(problem.ctx) if problem.ctx.parent else []
        return f"{where} needs a command" + (f": {', '.join(few)}" if few else " after it")
    return problem.message


def no_such_command(ctx: click.Context, typed: str, known: list[str]) -> None:
    """Refuse an unknown command name and suggest the nearest."""
    from inventory.store.words.names import nearest

    near = did_you_mean(nearest(typed, known)) or f"one of: {', '.join(known)}"
    ctx.fail(f'There is no command "{ctx.command_path} {typed}"; {near}')


def _named(problem: click.BadParameter) -> str:
    param = problem.param
    if isinstance(param, click.Option):
        return param.opts[0]
    return (param.metavar or param.name or "").upper() if param is not None else "another argument"


def _wanted(param: click.Parameter | None) -> str:
    kind = param.type if param is not None else click.STRING
    if isinstance(kind, click.IntRange):
        return f"a whole number from {kind.min} to {kind.max}"
    if isinstance(kind, click.Choice):
        return " or ".join(kind.choices)
    return "a whole number" if kind is click.INT else "another value"
