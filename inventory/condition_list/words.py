"""The fixed words of a condition list: what it is and is not, and what its terms mean. Words only, no rule.

What an outsider could take for a promise is said as what was seen, read or measured, by whom and when.
"""

from __future__ import annotations

__all__ = [
    "CLASSES",
    "CONFIDENTIAL",
    "FINGERPRINT",
    "IS",
    "IS_NOT",
    "NOT_ASSESSED",
    "NOT_KNOWN",
    "STATEMENT",
    "TERMS",
    "TO_FILL_IN",
    "VERDICTS",
]

NOT_KNOWN = "not known"
NOT_ASSESSED = "not assessed"
CONFIDENTIAL = "confidential"

#: After EN 16096:2012 (built heritage), borrowed; the words are from memory.
CLASSES = {
    0: "no symptoms seen",
    1: "minor symptoms",
    2: "moderately strong symptoms",
    3: "major symptoms",
}

VERDICTS = {
    "pass": "passed",
    "fail": "failed",
    "undecided": "undecided",
    "not judged": "not judged",
}

IS = (
    "A list of the parts that the owner's record shows as in the house, on the car or away on the day named, with "
    "what was seen on them, read from them and measured on them, by whom and on which day."
)
IS_NOT = (
    "It is no expert valuation and no promise. It covers no part that is not on it. What nobody looked at is said to "
    "be not known."
)
STATEMENT = (
    "This list was drawn from the owner's record on {known_on}. Condition and test results are what the named persons "
    "saw and measured on the days given. Amounts are stated by the owner or by the named source; they are not an "
    "expert valuation, unless one is named, and bind no insurer. It promises nothing about present or future condition."
)
FINGERPRINT = (
    "The first 32 of the 64 signs of the SHA-256 of this list's JSON. Left with somebody else on the day (mailed to "
    "the insurer or broker), it shows later that the list is unaltered. It does not show that it is true."
)
#: What the record does not hold, and who hands the list over writes in.
TO_FILL_IN = ("Owner", "Capacity of who prepared it", "Policy reference", "Checked by (optional)", "Date and signature")

#: Heading, then term and meaning.
TERMS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "Condition (how a part looks)",
        (
            *((str(number), words) for number, words in CLASSES.items()),
            (NOT_ASSESSED, "nobody has noted how it looks; this is not class 0"),
            (
                "borrowed",
                "the four classes are borrowed from EN 16096, the European standard for built heritage; the standard "
                "for movable objects, EN 16095, gives none",
            ),
        ),
    ),
    (
        "Seals",
        (
            ("intact", "as the factory left it"),
            ("disturbed", "is there, but someone has been at it"),
            ("missing", "was there from the factory and is gone"),
            ("renewed", "put on again by a specialist, with a document; without one it counts as disturbed"),
            ("never fitted", "this number left the factory without one"),
            ("not seen", "nobody has looked, or it could not be seen"),
        ),
    ),
    (
        "Test results",
        (
            ("passed", "the figure lies within the limit by more than the measurement can be wrong"),
            ("failed", "the figure lies outside the limit by more than the measurement can be wrong"),
            ("undecided", "the measurement cannot tell"),
            ("not judged", "no limit is on file, or a reading cannot be used"),
            ("Works", "the last test that passed or failed; all tests stand on the sheet Tests and seals"),
        ),
    ),
    (
        "Goes with",
        (
            (
                "confirmed",
                "the word that the program uses for two halves whose part numbers fit, whose letters were read from "
                "both parts and are equal, whose sensor's seals are intact, with nothing on record against the control "
                "unit. Here it is said as what was read and seen",
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
            ("repair cost", "what bringing it back to work was said to cost"),
            ("exchange core", "what was allowed for it in exchange"),
            ("not stated", "the amount came without a basis"),
        ),
    ),
    (
        "Counting",
        (
            ("counted", "our own and here: loose, or on a car that is not itself insured whole"),
            ("not counted", "on a car insured whole, held for others, or away; listed all the same"),
            ("customer A, lender B", "other people's names stay out of the list; the key is kept apart"),
        ),
    ),
    (
        "Days",
        (
            (
                "1998~, 1968/1972",
                "a vague day as it was told (EDTF, ISO 8601-2), with the earliest and latest it can be",
            ),
            ("last seen", "the last time on record that somebody had the part before them, and how"),
        ),
    ),
)
