"""Slips for parts that were left here or went out, numbered, for both sides to sign."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from inventory.errors import Refused
from inventory.papers.write_slip import write_slip
from inventory.parts.actions import describe
from inventory.parts.markings import Markings
from inventory.provenance.actions import note_provenance
from inventory.seals.actions import note_seal
from inventory.store.record import Record
from tests.build import BY, SENSOR, make_part


def text_of(path: Path) -> str:
    """The text of a PDF as pypdf reads it, without line breaks."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(path.read_bytes())).pages).split())


def test_a_slip_tells_what_went_and_later_whether_it_is_the_same(record: Record, tmp_path: Path) -> None:
    tag, file = make_part(record, SENSOR, on="2020-05-01"), tmp_path / "slip.pdf"
    with pytest.raises(Refused) as refused:
        write_slip(record, BY, tag, file)
    assert (refused.value.code, file.exists()) == ("no-slip", False)
    with record.write() as session:
        note_seal(session, BY, tag, "cap", "intact", on="2020-05-01")
        note_provenance(
            session, BY, tag, "sent out", party="Kessel works", text="leaks", due="2020-08", on="2020-06-01"
        )

    number, slip, _ = write_slip(record, BY, tag, file)

    assert (number, slip.sort, file.stat().st_mode & 0o777) == (1, "gone out", 0o600)
    for said in ("Slip no. 1: gone out", tag, "71-40822", "Kessel works", "leaks", "2020-08", "intact (2020-05-01)"):
        assert said in text_of(file), said
    with record.write() as session:
        note_provenance(session, BY, tag, "came back", on="2020-08-01")
        describe(session, BY, tag, Markings(serial="71-40829"), on="2020-08-02")
    with pytest.raises(Refused, match="already a file"):
        write_slip(record, BY, tag, file)
    number, slip, _ = write_slip(record, BY, tag, file, overwrite=True)
    assert number == 2
    assert "not the same by its serial" in text_of(file)


def test_a_slip_of_what_was_left_here_tells_that_it_went_back(record: Record, tmp_path: Path) -> None:
    tag, file = make_part(record, SENSOR, on="2020-05-01"), tmp_path / "slip.pdf"
    with record.write() as session:
        note_provenance(session, BY, tag, "left here by a customer", party="Otto Brandt", on="2020-06-01")
        note_provenance(session, BY, tag, "returned", on="2020-08-01")

    write_slip(record, BY, tag, file)

    assert "Given back returned to Otto Brandt, 2020-08-01" in text_of(file)


def test_a_name_said_by_somebody_is_never_our_own_look(record: Record) -> None:
    from inventory.history.load_history import part_history

    tag = make_part(record, SENSOR)
    with record.write() as session:
        note_provenance(
            session, BY, tag, "bought", said_by="Otto Brandt", certainty="likely", party="Marta Lindqvist", on="1990"
        )
    with record.read() as session:
        (title, *_) = part_history(session, tag).lanes

    assert [event.known for event in title.events] == ["said by Otto Brandt, likely"]
