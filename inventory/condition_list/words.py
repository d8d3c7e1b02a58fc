"""The fixed text of a condition list: what it is and is not, and what its terms mean.

Whatever an outsider could read as a promise is worded as what was seen, read or measured, by whom and when.
"""

from __future__ import annotations

__all__ = [
    "CLASSES",
    "CLASSES_IN_SHORT",
    "CONFIDENTIAL",
    "DASH",
    "FINGERPRINT",
    "HOW_TO_CHECK",
    "IS_NOT",
    "NOT_ASSESSED",
    "NOT_KNOWN",
    "TERMS",
    "TO_FILL_IN",
    "VERDICTS",
    "is_this",
    "statement",
]

NOT_KNOWN = "not known"
#: For what does not apply.
DASH = "–"
NOT_ASSESSED = "not assessed"
CONFIDENTIAL = "confidential"

#: After EN 16096:2012 (built heritage), borrowed; the words are from memory.
CLASSES = {
    0: "no symptoms seen",
    1: "minor symptoms",
    2: "moderately strong symptoms",
    3: "major symptoms",
}

#: The same in one word, for a column that is named for symptoms.
CLASSES_IN_SHORT = {0: "none", 1: "minor", 2: "moderate", 3: "major"}

VERDICTS = {
    "pass": "passed",
    "fail": "failed",
    "undecided": "undecided",
    "not judged": "not judged",
}

_IS = (
    "A list of the parts that the owner's record shows in the house, on the car or away on the day named, with "
    "what was seen on them, read from them and measured on them, by whom and on which day{only_told}."
)
IS_NOT = (
    "It is not an expert valuation and not a promise. It covers only the parts on it. What nobody looked at is listed "
    "as not known."
)
_STATEMENT = (
    "This list was made from the owner's record on {known_on}. Condition and test results are what the named persons "
    "saw and measured on the days given{only_told}. Amounts are stated by the owner or by the named source. They are "
    "not an expert valuation, unless one is named, and bind no insurer. It promises nothing about present or future "
    "condition."
)


def is_this(*, hearsay: bool) -> str:
    """What the list is. `hearsay`: marks of its items are known from a sheet or passport alone."""
    return _IS.format(only_told="; what only a sheet or a passport says is marked as such" if hearsay else "")


def statement(known_on: str, *, hearsay: bool) -> str:
    """The statement that is signed, see `is_this`. Lists without hearsay keep the words of earlier ones."""
    only_told = ", or, where it is marked so, what only a sheet or a passport says" if hearsay else ""
    return _STATEMENT.format(known_on=known_on, only_told=only_told)


FINGERPRINT = (
    "The first 32 of the 64 digits of the SHA-256 of the lines under How to check. Send it to somebody on that day "
    "(the insurer or broker), so that you can show later that the list is unchanged. It does not show that "
    "the list is true."
)
#: What stands before the lines to check by.
HOW_TO_CHECK = (
    "The fingerprint is the SHA-256 of these lines as JSON (keys sorted, no blanks, UTF-8). Facts, Content and the "
    "name of each table stand for SHA-256 of the facts that the list was drawn from, of its JSON, of that table's "
    "cells. "
    "matchmark condition-list check FILE --fingerprint F compares them, with the record or without it. Not covered: "
    "the number, who drew it, the changes since another list, and what was recorded after the day named as known."
)
#: Lines that the record cannot fill; the person who hands the list over writes them in.
TO_FILL_IN = ("Owner", "Capacity of who prepared it", "Policy reference", "Checked by (optional)", "Date and signature")

#: Heading, then term and meaning.
TERMS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "Condition (how a part looks)",
        (
            *((str(number), words) for number, words in CLASSES.items()),
            (NOT_ASSESSED, "nobody has noted its condition; this is not class 0"),
            ("no vehicle grade", "the digit says how one part looks; it is no grade of a car"),
            (
                "borrowed",
                "the four classes are borrowed from EN 16096, the European standard for built heritage; the standard "
                "for movable objects, EN 16095, gives none in its scope, which is all that was seen of it",
            ),
        ),
    ),
    (
        "The trade's class",
        (
            ("new old stock", "stated never to have been in use"),
            ("used, tested by", "used; the test that is named decided, and its figure stands with it"),
            ("used, untested", "used; no test on record decides"),
            ("rebuildable core", "stated to be of use only when rebuilt"),
            ("scrap", "stated to be of no use as a whole"),
        ),
    ),
    (
        "Seals",
        (
            ("intact", "is as the factory left it"),
            ("disturbed", "is there, but somebody has disturbed it"),
            ("missing", "was there from the factory and is gone"),
            ("renewed", "put on again by a specialist, with a document; without one it counts as disturbed"),
            ("never fitted", "this number left the factory without one"),
            ("not seen", "nobody has looked, or it could not be seen"),
        ),
    ),
    (
        "Test results",
        (
            ("passed", "the figure is within the limit by more than the uncertainty of the measurement"),
            ("failed", "the figure is outside the limit by more than the uncertainty of the measurement"),
            ("undecided", "the measurement cannot tell"),
            ("not judged", "no limit is on file, or a reading cannot be used"),
            ("Works", "the last test that passed or failed; all tests are in the workbook and in the data"),
        ),
    ),
    (
        "Goes with",
        (
            (
                "confirmed",
                "the word that the program uses for a sensor and a control unit whose part numbers fit, whose letters "
                "were read from both parts and are equal, with the sensor's seals intact and nothing on record against "
                "the control unit. This list states what was read and seen",
            ),
        ),
    ),
    (
        "Basis of value",
        (
            ("agreed", "agreed with the insurer; without the insurer's own paper it is proposed by the owner"),
            ("market", "what such a part was said to fetch on the day stated"),
            ("replacement", "what another of the kind was said to cost"),
            ("purchase price", "what was paid for it"),
            ("repair cost", "what its repair was said to cost"),
            ("exchange core", "what was allowed for it in exchange"),
            ("not stated", "the amount came without a basis"),
        ),
    ),
    (
        "Counting",
        (
            ("counted", "our own and here: loose, or on a car that is not itself insured whole"),
            ("not counted", "on a car insured whole, held for others, or away; still listed"),
            ("customer A, lender B", "other people's names are not in the list; the key is kept separately"),
        ),
    ),
    (
        "Days",
        (
            (
                "1998~, 1968/1972",
                "a vague day as stated (EDTF, ISO 8601-2), with its earliest and latest possible day",
            ),
            ("last seen", "the last time on record that somebody saw the part, and how"),
        ),
    ),
)
