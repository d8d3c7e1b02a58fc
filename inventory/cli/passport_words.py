"""What reading a passport would bring, or brought, for people."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inventory.papers.passport.actions import Reading

__all__ = ["plan_text", "read_text"]


def plan_text(planned: Reading) -> str:
    """What reading it would bring, before it is read."""
    from inventory.papers.passport.read_passport import says_of

    plan = planned.plan
    lines = says_of(planned.checked)
    if plan.twins:
        lines.append(f"Its serial is on record here, on {' and '.join(plan.twins)}: is it the same part?")
    elif plan.part_id is None:
        label = f"under its own label {plan.tag}" if plan.tag else "under a new label: its own is taken here"
        lines.append(f"It would enter a new part, {label}")
    else:
        lines.append(f"It is of {plan.tag}, which is on record here")
    return "\n".join([*lines, *_counts(planned, "Would bring")])


def read_text(done: Reading) -> str:
    """What was read in."""
    plan = done.plan
    if not plan.brings:
        return "\n".join([f"{done.tag or 'It'}: nothing new", *_counts(done, "")])
    lines = [f"{done.tag}: read in as according to passport, never as seen here"]
    if plan.part_id is None and done.tag != plan.history.part["tag"]:
        lines.append(f"There it is called {plan.history.part['tag']}, a label that is taken here")
    lines += _counts(done, "Brought")
    if done.in_words:
        lines.append(f"{done.in_words} of them as remarks, in their words: they name cars, people or kinds of there")
    if plan.part_id is None:
        lines.append(f"How it came to you is not in it: matchmark provenance note {done.tag} --how bought")
    return "\n".join(lines)


def _counts(reading: Reading, verb: str) -> list[str]:
    plan = reading.plan
    by_word = Counter(fact.word for fact in plan.facts)
    lines = [f"{verb}: {', '.join(f'{word} {many}' for word, many in by_word.items())}"] if by_word and verb else []
    lines += [f"No longer counts there, and so not here: {', '.join(plan.gone)}"] if plan.gone and verb else []
    if plan.not_believed and verb:
        stays = ", ".join(plan.not_believed)
        lines.append(f"Stays, though it no longer counts there: {stays}. What came signed needs the same key")
    told = {"ours already": plan.ours, "read before": plan.before, "not asked for": plan.left}
    lines += [f"{words}: {many}" for words, many in told.items() if many]
    unknown = ", ".join(f"{word} {many}" for word, many in plan.unknown.items())
    return [*lines, *([f"not known to this program, kept in the passport: {unknown}"] if unknown else [])]
