"""Draws a slip for a part that was left here or went out, and writes it with its number."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from inventory.documents.actions import content
from inventory.given_out.actions import next_number, written
from inventory.given_out.anchors import grouped
from inventory.given_out.load_checked import checked_state
from inventory.given_out.write_file import paper_file
from inventory.papers.load_slip import IN, Slip, load_slip
from inventory.people.actions import begin_act
from inventory.printed.write_paper import Paper
from inventory.store.begin import RECORD_THING
from inventory.store.days.date_words import day_words
from inventory.store.days.zone import today_in
from inventory.store.journal import entries as journal
from inventory.store.journal.images import canonical
from inventory.store.record import Record

__all__ = ["SLIP", "slip_paper", "write_slip"]

#: The name of slips among the papers written.
SLIP = "slip"
_LABEL = 38.0  # the width of the word before a text (mm)
_HIGH, _PIXELS, _MOST = 45.0, 800, 3  # pictures: height (mm), longest side (pixels), how many


def write_slip(
    record: Record, by: str, tag: str, output: Path, *, overwrite: bool = False, unverified: bool = False
) -> tuple[int, Slip, Paper]:
    """Write the slip of a part to a PDF; its number and fingerprint become a fact of the part.

    Of a record that does not fit it is refused, or with `unverified` written so marked, without a number (0).
    Raises `Refused` if the part was never left here and never went out, or if the file exists.
    """
    with paper_file(output, overwrite=overwrite) as file, record.write() as session:
        journal.lock_things(session, [RECORD_THING])  # two slips made at once must not get the same number
        slip = load_slip(session, tag)
        state = checked_state(record, SLIP, [RECORD_THING, slip.part_id], unverified=unverified)
        number, fingerprint = 0, hashlib.sha256(canonical(slip.as_dict()).encode()).hexdigest()
        if state.anchor is not None:
            act = begin_act(session, "slip", by, RECORD_THING, slip.part_id)
            number = next_number(session, SLIP)
            written(session, act, slip.part_id, SLIP, number, fingerprint, anchor=state.anchor)
        known_by = [*([f"Fingerprint {grouped(fingerprint)}"] if number else ()), *state.lines]
        held = {each.digest: content(session, each.digest) for each in slip.pictures[-_MOST:]}
        paper = slip_paper(slip, number, day_words(today_in(session).isoformat()), held, known_by)
        file.part.write_bytes(paper.content())
        file.on_record = f"{SLIP} {number}" if number else ""
    return number, slip, paper


def slip_paper(
    slip: Slip, number: int, day: str, pictures: dict[str, bytes | None], known_by: Sequence[str] = ()
) -> Paper:
    """The slip on A4, for both sides to sign. `pictures`: bytes by digest, None where they are gone.

    `known_by`: its fingerprint and the record's anchor, as they stand on it. `number`: 0 if the record did not fit.
    """
    title = f"Slip no. {number}: {slip.sort}" if number else f"Slip, {known_by[0]}: {slip.sort}"
    paper = Paper(title, day)
    paper.add_page()
    paper.words(title, 16, bold=True, lines=0)
    paper.ln(2)
    side = "Left here by" if slip.sort == IN else "Gone out to"
    for label, text in (
        ("Part", f"{slip.tag}  {slip.what}"),
        *slip.marks,
        (side, slip.party),
        ("Day", f"{slip.told or slip.on} ({slip.how})"),
        ("Why", slip.why or "not noted"),
        ("Due back", slip.due or "no day agreed"),
    ):
        _line(paper, label, text)
    if slip.returned is not None:
        _line(paper, "Given back", slip.returned)
    paper.heading("As last seen here", 12)
    for label, text in slip.state:
        _line(paper, label, text)
    _draw_pictures(paper, slip, pictures)
    if slip.absence is not None:
        _draw_comparison(paper, slip)
    paper.heading("Handed over and received", 12)
    paper.words("Both sides keep a copy. This slip says what was seen here on the days given; it promises nothing.", 9)
    for line in known_by:
        paper.words(line, 9, lines=0)
    for who in ("Handed over by", "Received by", "Back: handed over by", "Back: received by"):
        paper.ln(6)
        _line(paper, who, "................................................   day ....................")
    return paper


def _line(paper: Paper, label: str, text: str) -> None:
    paper.keep(paper.height(text, 10, paper.epw - _LABEL))
    top, left = paper.y, paper.l_margin
    paper.words(label, 10, width=_LABEL, bold=True)
    below = paper.y
    paper.set_xy(left + _LABEL, top)
    paper.words(text, 10, lines=0)
    paper.set_xy(left, max(below, paper.y))


def _draw_pictures(paper: Paper, slip: Slip, pictures: dict[str, bytes | None]) -> None:
    """The last pictures, side by side, each with what it shows and its day."""
    from inventory.documents.picture import small_if_shown

    shown = [each for each in slip.pictures if each.digest in pictures]
    if not shown:
        _line(paper, "Pictures", "none on record")
        return
    paper.keep(_HIGH + 12)
    top, x = paper.y + 2, paper.l_margin
    across = paper.epw / _MOST
    for each in shown:
        small = small_if_shown(pictures[each.digest], _PIXELS)
        if small is not None:
            held, ratio = small
            high = min(_HIGH, (across - 4) / ratio)
            paper.image(held, x, top, w=high * ratio, h=high)
        paper.set_xy(x, top + _HIGH + 1)
        gone = "" if small is not None else ", cannot be shown"
        paper.words(f"{each.short}  {each.shows}, {each.on}{gone}", 9, width=across - 3, lines=2)
        x += across
    paper.set_xy(paper.l_margin, top + _HIGH + 10)


def _draw_comparison(paper: Paper, slip: Slip) -> None:
    absence = slip.absence
    assert absence is not None
    assert absence.back is not None
    paper.heading(f"Back: {absence.back.what} {absence.back.when}", 12)
    _line(paper, "The same unit?", absence.same)
    for each in absence.compared:
        _line(
            paper,
            each.what.capitalize(),
            f"before: {each.before or 'not looked at'}; after: {each.after or 'not looked at'}",
        )
