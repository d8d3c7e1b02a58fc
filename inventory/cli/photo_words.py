"""What `matchmark photos` prints: the pictures of each part, what is asked, what is left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from inventory.pictures.plan import Given, Plan

__all__ = ["as_data", "plan_text", "written_text"]

#: How many files with the same question or reason are named.
_NAMED = 3


def plan_text(plan: Plan) -> str:
    """The plan for people."""
    parts = {each.tag for each in plan.given}
    head = f"{_pictures(len(plan.given))} to {len(parts)} part{'' if len(parts) == 1 else 's'}"
    head = head if parts else "No picture to attach"
    return "\n".join([head, *_parts(plan.given), *_rest(plan)])


def written_text(plan: Plan) -> str:
    """What was written, and what was left out."""
    return "\n".join([f"Written: {_pictures(len(plan.given))}", *_parts(plan.given), *_rest(plan)])


def as_data(plan: Plan, *, written: int) -> dict[str, Any]:
    """The plan in JSON. `written`: how many pictures were attached."""
    parts: dict[str, list[dict[str, Any]]] = {}
    for each in plan.given:
        look = each.look
        one = {"file": look.name, "taken": each.at.isoformat(), "taken_from": "camera" if look.by_camera else "file"}
        parts.setdefault(each.tag, []).append({**one, "shows": each.shows, "digest": look.digest})
    return {
        "written": written,
        "parts": [{"tag": tag, "pictures": pictures} for tag, pictures in parts.items()],
        "questions": [
            {"about": each.about, "says": each.says, "files": list(each.names), "answer": each.answer}
            for each in plan.questions
        ],
        "left_out": [{"file": each.name, "why": each.why} for each in plan.unused],
        "notes": list(plan.notes),
    }


def _parts(given: Sequence[Given]) -> Iterator[str]:
    for (tag, shows), group in groupby(given, key=lambda each: (each.tag, each.shows)):
        some = list(group)
        first, last = some[0], some[-1]
        day = f"{first.at.day} {first.at:%B %Y %H:%M}"
        until = f" to {last.at:%H:%M}" if f"{last.at:%H:%M}" != f"{first.at:%H:%M}" else ""
        files = first.look.name if len(some) == 1 else f"{first.look.name} to {last.look.name}"
        yield f"  {tag}  {'its label' if shows == 'other' else shows:<12}  {len(some):>3}  {day}{until}  {files}"


def _rest(plan: Plan) -> Iterator[str]:
    if plan.questions:
        yield "Asked, and left out until answered:"
        for each in plan.questions:
            yield f"  {_pictures(len(each.names))} {each.says}: {_named(each.names)}"
            yield f"    {each.answer}"
    if plan.unused:
        yield "Left out:"
        for why, group in groupby(sorted(plan.unused, key=lambda each: each.why), key=lambda each: each.why):
            yield f"  {_named([each.name for each in group])}: {why}"
    yield from (f"Note: {note}" for note in plan.notes)


def _named(names: Sequence[str]) -> str:
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _pictures(count: int) -> str:
    return f"{count} picture{'' if count == 1 else 's'}"
