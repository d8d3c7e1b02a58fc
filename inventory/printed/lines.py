"""The lines of a text in a column of a width. Pure: what a sign takes comes in."""

from __future__ import annotations

from collections.abc import Callable, Sequence

__all__ = ["broken", "shared_widths"]

#: Scripts that are written without blanks and may be broken after any sign.
_NO_BLANKS = (
    ("\u1100", "\u11ff"),
    ("\u2e80", "\ua4cf"),
    ("\uac00", "\ud7af"),
    ("\uf900", "\ufaff"),
    ("\uff00", "\uffef"),
)


def broken(text: str, across: float, width_of: Callable[[str], float], most: int = 0) -> list[str]:
    """The lines of a text, broken at blanks, and within a word that is wider than a line.

    `most`: how many lines at most (0: all); what is cut ends with three dots. At least one line, which may be empty.
    """
    lines: list[str] = []
    line, used, blank = "", 0.0, width_of(" ")
    for word in text.split(" "):
        wide = width_of(word)
        if line and used + blank + wide <= across:
            line, used = f"{line} {word}", used + blank + wide
            continue
        if _breaks_anywhere(word) and line and used + blank + width_of(word[0]) <= across:
            word, wide = f"{line} {word}", used + blank + wide
        elif line:
            lines.append(line)
        while wide > across and len(word) > 1:
            head = _fitting(word, across, width_of)
            lines.append(word[:head].rstrip())
            word = word[head:]
            wide = width_of(word)
        line, used = word, wide
        if most and len(lines) > most:
            break
    lines.append(line)
    if not most or len(lines) <= most:
        return lines
    last, dots = f"{lines[most - 1]} {lines[most]}", width_of("...")
    while last and width_of(last) + dots > across:
        last = last[:-1]
    return [*lines[: most - 1], f"{last.rstrip()}..."]


def shared_widths(
    least: Sequence[float], wished: Sequence[float], across: float, firm: Sequence[bool] = ()
) -> list[float]:
    """The widths of columns that together take exactly so much.

    `least`: what the longest word of each needs, `wished`: what its longest text would take. What is left is shared by
    what they lack; if not even the words fit, the widest column gives way that is not `firm`.
    """
    widths = list(least)
    loose = [place for place in range(len(widths)) if not (firm and firm[place])]
    while loose and sum(widths) > across + 1e-6:
        widest = max(widths[place] for place in loose)
        widest_ones = [place for place in loose if widths[place] == widest]
        next_widest = max((widths[place] for place in loose if widths[place] < widest), default=0.0)
        for place in widest_ones:
            widths[place] = max(next_widest, widest - (sum(least) - across) / len(widest_ones))
        least = list(widths)
    lacking = [max(0.0, wish - wide) for wish, wide in zip(wished, widths, strict=True)]
    left = max(0.0, across - sum(widths))
    share = min(1.0, left / sum(lacking)) if any(lacking) else 0.0
    extra = (left - share * sum(lacking)) / len(widths)
    return [wide + lack * share + extra for wide, lack in zip(widths, lacking, strict=True)]


def _fitting(word: str, across: float, width_of: Callable[[str], float]) -> int:
    """How many signs of a word stand on a line: one at least."""
    used = width_of(word[0])
    for place in range(1, len(word)):
        used += width_of(word[place])
        if used > across:
            return place
    return len(word)


def _breaks_anywhere(word: str) -> bool:
    return any(first <= sign <= last for sign in word[:1] for first, last in _NO_BLANKS)
