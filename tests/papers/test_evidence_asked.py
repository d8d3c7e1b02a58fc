"""What an ombudsman looks at, and what the police ask for, against what a list and a claim hold.

Sources, as read: the Financial Ombudsman Service's pages on motor valuation and on write-offs; a magazine's letter of
1988 on a claim that was resisted because rebuilt parts had not been disclosed; advice of police forces on marking and
on lists of property.
"""

from __future__ import annotations

from inventory.condition_list.pages import tables_of
from inventory.condition_list.write_front import front_rows
from tests.condition_list.conftest import file_record, file_workshop, furnished_once, on_day
from tests.condition_list.workshop import Workshop

__all__ = ["file_record", "file_workshop", "furnished_once", "on_day"]

#: What is asked for, and where it stands: a table of the list and its columns, labels of its front, a folder of the
#: claim. Empty: nothing answers it.
ASKED: dict[str, tuple[str, ...]] = {
    # ombudsman
    "the value just before the loss, and its basis": ("Values", "Amount", "Basis", "On", "Standing"),
    "agreed only with the insurer's paper": ("Values", "Standing", "Paper"),
    "an independent expert's or engineer's report, with modifications": ("claim", "documents/"),
    "copies of valuations": ("claim", "documents/"),
    "the repair estimate": ("Values", "Basis", "Amount"),
    "evidence of damage before the loss": ("Items", "Damage and circumstances", "Looked at", "Looks recorded"),
    "history": ("Items", "From", "History"),
    "replaced and rebuilt parts and their standing": ("Items", "To note", "Relation to its car"),
    "what was recorded only after the loss": ("claim", "recorded-after/"),
    "the history of the vehicle: mileage, inspections, services": (),
    "prices that others asked for the like on that day": (),
    # police
    "maker, model and serial number": ("Items", "Maker", "Part number", "Serial"),
    "marks, and where they sit": ("Items", "Marks as read"),
    "imperfections": ("Items", "Damage and circumstances", "Features"),
    "photographs, with a scale": ("Evidence", "Document", "Shows", "Picture", "Date"),
    "receipts": ("Evidence", "Document", "Shows"),
    "a copy kept elsewhere": ("front", "Fingerprint"),
    "whether a mark leads to its owner by a register": (),
    # a schedule that both can use
    "item and quantity": ("Schedule", "No.", "What"),
    "condition with its day, by whom, how known": ("Items", "Looks", "Looked at", "Damage and circumstances"),
    "tests: method, result with uncertainty, day": ("Tests and seals", "Test or seal", "Found", "In words", "On", "By"),
    "state of the seals": ("Items", "Seals"),
    "documents of provenance": ("Items", "Evidence no.", "From"),
    "who valued it, and when": ("Values", "Stated by", "In what capacity", "On"),
    "place and security": ("front", "Places of insurance"),
    "day, number and total of the schedule": ("front", "As of", "EUR counted"),
    "what is not covered": ("front", "What was left out"),
}
#: Named here so that nobody takes them for answered.
NOT_ANSWERED = {
    "the history of the vehicle: mileage, inspections, services",
    "prices that others asked for the like on that day",
    "whether a mark leads to its owner by a register",
}


def test_what_answers_each_question_an_assessor_asks(file_workshop: Workshop) -> None:
    drawn = file_workshop.drawn("2026-03-30")
    answers = {name: {column.title for column in columns} for name, columns, _ in tables_of(drawn)}
    answers["front"] = {str(row[0]) for row in front_rows(drawn)}
    answers["claim"] = {"documents/", "recorded-after/"}  # what tests.papers.test_claim finds in one

    assert {asked for asked, where in ASKED.items() if not where} == NOT_ANSWERED
    for asked, where in ASKED.items():
        if where:
            table, *titles = where
            assert set(titles) <= answers[table], asked
