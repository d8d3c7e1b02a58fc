"""The command line: thin modules, one a group, imported only when their command is typed."""

from __future__ import annotations

__all__ = ["main"]


def main(argv: list[str]) -> int:
    """Run one command; gives its exit status. Imports nothing heavier than click until a command is known."""
    from inventory.cli.app import run

    return run(argv)
