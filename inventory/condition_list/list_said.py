"""What is said of a list that was drawn or written: its figures, its file, the text to lodge. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inventory.condition_list.totals_said import totals_said
from inventory.given_out.anchors import NOT_GIVEN, RecordState, grouped

if TYPE_CHECKING:
    from pathlib import Path

    from inventory.condition_list.values import ConditionList

__all__ = ["holders_key", "in_words", "judged_otherwise", "judged_otherwise_said", "lodging", "written"]


def in_words(drawn: ConditionList) -> str:
    """The list in figures."""
    lines = [f"{drawn.title}, as of {drawn.as_of}, as known on {drawn.known_on}"]
    counted = sum(item.counted_in_total for item in drawn.items)
    counts = "counts" if counted == 1 else "count"
    items = "1 item" if len(drawn.items) == 1 else f"{len(drawn.items)} items"
    lines.append(f"  {items}, {counted} {counts} towards the total ({drawn.basis} value)")
    lines += [f"  {line}" for line in totals_said(drawn)]
    lines.append(f"  {drawn.without_value} with no value stated on this basis, {drawn.stale_values} with an old one")
    lines.append(f"  {drawn.without_picture} without a picture")
    lines += [f"  left out: {entry['number']} ({entry['reason']})" for entry in drawn.left_out]
    lines += [f"  judged by {drawn.limits}"] if drawn.limits else []
    return "\n".join(lines)


def judged_otherwise(drawn: ConditionList, now: ConditionList) -> list[dict[str, Any]]:
    """The runs that the limits of now would judge otherwise than the list does; both lists are of the same state."""
    found = []
    for item, other in zip(drawn.items, now.items, strict=True):
        for run, instead in zip(item.runs, other.runs, strict=True):
            if (run.verdict, run.says) != (instead.verdict, instead.says):
                judged = {"verdict": run.verdict, "says": run.says}
                would_be = {"verdict": instead.verdict, "says": instead.says}
                of = {"tag": item.tag, "fact": run.when.fact, "procedure": run.procedure}
                found.append({**of, **judged, "with_limits_now": would_be})
    return found


def judged_otherwise_said(found: list[dict[str, Any]]) -> list[str]:
    """The same in lines."""
    return [
        f"  {each['tag']} {each['procedure']}: {each['verdict'].upper()}; by the limits of now "
        f"{'still' if each['verdict'] == each['with_limits_now']['verdict'] else 'it would be'} "
        f"{each['with_limits_now']['verdict'].upper()}: {each['with_limits_now']['says']}"
        for each in found
    ] or ["  the limits of now judge all tests alike"]


def written(drawn: ConditionList, output: Path, to: str | None) -> str:
    """The file, to whom it was given, its fingerprint, and the key to the holders' letters."""
    if drawn.unverified:
        return "\n".join([f"Written to {output}. {drawn.state.mark}: {NOT_GIVEN}", *holders_key(drawn)])
    given = (
        f"Given to {to}"
        if to
        else f"Not given out yet; when it is: matchmark condition-list given {drawn.number} --to NAME"
    )
    lines = [f"Written to {output} as list no. {drawn.number}", given, *holders_key(drawn)]
    lodged = lodging(drawn.number, drawn.as_of, drawn.known_on, drawn.fingerprint, drawn.state)
    return "\n".join([*lines, "", *lodged])


def holders_key(drawn: ConditionList) -> list[str]:
    """Who is meant by "customer A"; nothing if no letters stand on the list. It is shown only, never written."""
    holders = ", ".join(f"{letter} = {name}" for letter, name in drawn.holders.items())
    return [f"Key, keep separately: {holders}"] if holders else []


def lodging(number: int, as_of: str | None, known_on: str | None, fingerprint: str, state: RecordState) -> list[str]:
    """The text to send to somebody on the day a list was written, so that the day can be shown later."""
    days = f"as of {as_of}, as known on {known_on}" if as_of else "of an older version of the program"
    return [
        "Send this text to somebody who keeps it (insurer, broker, club), today:",
        f"  Condition list no. {number}, {days}",
        f"  Fingerprint {grouped(fingerprint)}",
        f"  in full {fingerprint}",
        *([f"  Record's anchor {state.says}", f"  in full {state.anchor.text}"] if state.anchor else ()),
        "  It shows later that a list with this fingerprint is unchanged since this message was sent. It does not show",
        "  that the list is true. To compare: matchmark condition-list check FILE --fingerprint (the digits above)",
        "A time stamp after RFC 3161 from a service of your choice would show the day as well; the program asks none.",
    ]
