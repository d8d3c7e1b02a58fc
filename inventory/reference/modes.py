"""Reference data: the failure modes of each kind, the tests that show them, and the weights of tests and claims.

The data are in modes.toml, read once. `failure_data_from` depends only on its contents, so a workshop's own figures can
override them first. Every number has its standing and source.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files
from typing import Any, Literal

from inventory.reasons import WORKSHOP, Standing
from inventory.reference.overrides import override_modes
from inventory.reference.procedure import Figure
from inventory.store.words.text import fold, squeeze

__all__ = [
    "ClaimWords",
    "FailureData",
    "FailureMode",
    "KindModes",
    "LikelihoodWords",
    "Mending",
    "TestOnFile",
    "Variant",
    "failure_data_from",
    "failure_data_with",
    "words_of",
]

_ARTICLE = re.compile(r"^an? ")
_WORD = re.compile(r"[^\W_]+")


@dataclass(frozen=True)
class FailureMode:
    """One failure mode: its `share` of the bad parts (0 to 1), and each test's chance of showing it (0 to 1).

    `mended_by` names the sorts of mending after which the same test decides afresh. `found`: the phrases, in small
    letters, that name it where work on the unit found it.
    """

    name: str
    phrase: str
    share: float
    shows: dict[str, float]
    mended_by: tuple[str, ...] = ()
    found: tuple[str, ...] = ()


@dataclass(frozen=True)
class KindModes:
    """The failure modes of a kind. `good` is the share of used, untested parts that are good (0 to 1).

    `sort` names a sort of the kind with its own failure modes, empty for the usual one. `decides` is the test that says
    whether such a part works: empty if none on the bench does, None if it is not on file.
    """

    kind: str
    good: float
    modes: tuple[FailureMode, ...]
    standing: Standing
    source: str
    sort: str = ""
    decides: str | None = None


@dataclass(frozen=True)
class Variant:
    """A sort of a kind with its own failure modes, recognised by part number (squeezed) or marks."""

    name: str
    kind_modes: KindModes
    numbers: frozenset[str]
    marks: tuple[str, ...]


@dataclass(frozen=True)
class TestOnFile:
    """A test: its name in a sentence, its chance (0 to 1) of failing a good part, whether a pass ages.

    `bench`: whether it is made on a bench. `takes_back`: a fail takes back what earlier passes gave. `silent_after`:
    a pass says nothing of a fault that one of these tests showed. `minutes`: the time it takes at the bench, 0 if it is
    not made there. `standing` and `source` are those of its two figures.
    """

    __test__ = False  # not a test case, whatever a test runner thinks of the name

    phrase: str
    false_alarm: float
    ages: bool
    bench: bool = True
    takes_back: bool = False
    silent_after: tuple[str, ...] = ()
    minutes: float = 0.0
    standing: Standing = WORKSHOP
    source: str = "no source"


@dataclass(frozen=True)
class ClaimWords:
    """Words that mean a test if none is named; `only` for these kinds, empty for all. `came_out`: pass or fail."""

    test: str
    only: tuple[str, ...]
    phrases: tuple[str, ...]
    says: str
    came_out: Literal["pass", "fail"] = "pass"


@dataclass(frozen=True)
class Mending:
    """A sort of work that can mend: the phrases that name it, and what must be on record of that day.

    `done` says it in a sentence: "have it ...". `needs`: "report" (any picture or paper), "specialist's paper", or
    empty. `outside`: it may be work outside.
    """

    name: str
    done: str
    phrases: tuple[str, ...]
    needs: str
    outside: bool


@dataclass(frozen=True)
class LikelihoodWords:
    """Words for a probability, from the highest down: the lowest probability of each, and where they are taken from."""

    words: tuple[tuple[float, str], ...]
    standing: Standing
    source: str


@dataclass(frozen=True)
class FailureData:
    """All of it. `figures`, `claim_source` and `claim_proof` hold weights (0 to 1) by name; "doubt" is a factor."""

    kinds: dict[str, KindModes]
    variants: dict[str, tuple[Variant, ...]]
    tests: dict[str, TestOnFile]
    figures: dict[str, Figure]
    claim_source: dict[str, float]
    claim_proof: dict[str, float]
    claim_against: Figure
    claim_words: tuple[ClaimWords, ...]
    claim_doubt: frozenset[str]
    claim_denied: frozenset[str]
    claim_denied_fault: frozenset[str]
    mendings: tuple[Mending, ...]
    mending_denied: tuple[str, ...]
    specialist_words: frozenset[str]
    mixture_causes: tuple[str, ...]
    likelihood: LikelihoodWords
    standing: Standing
    source: str

    def modes_of(self, kind_name: str, variant: str = "") -> KindModes:
        """The failure modes of a kind, or of a sort of it; those of "other" if it is not on file."""
        of_sort = (each.kind_modes for each in self.variants.get(kind_name, ()) if each.name == variant)
        return next(of_sort, None) or self.kinds.get(kind_name) or self.kinds["other"]

    def would_mend(self, kind_modes: KindModes, test: str) -> tuple[str, ...]:
        """What could mend the faults that a test shows, in words: what needs no paper first, our own report last."""
        sorts = {name for mode in kind_modes.modes if test in mode.shows for name in mode.mended_by}
        in_order = sorted(self.mendings, key=lambda sort: ("", "specialist's paper", "report").index(sort.needs))
        return tuple(sort.done for sort in in_order if sort.name in sorts)

    def false_alarm(self, test: str) -> float | None:
        """A test's chance (0 to 1) of failing a good part; None if it is not on file."""
        on_file = self.tests.get(test)
        return None if on_file is None else on_file.false_alarm

    def variant_of(self, kind_name: str, part_number: str | None, marks: str | None) -> str:
        """The sort of a part, by its number or its marks; empty for the usual sort."""
        for each in self.variants.get(kind_name, ()):
            if (part_number and squeeze(part_number) in each.numbers) or (
                marks and any(mark in fold(marks) for mark in each.marks)
            ):
                return each.name
        return ""


def failure_data_from(data: Mapping[str, Any]) -> FailureData:
    """The contents of modes.toml as typed values."""
    standing, source, claim = data["standing"], data["source"], data["claim"]
    given = {"standing": standing, "source": source}
    kinds = {row["name"]: _kind_modes(row, standing, source) for row in data["kind"]}
    variants: dict[str, tuple[Variant, ...]] = {}
    for row in data.get("variant", ()):
        variants[row["of"]] = (*variants.get(row["of"], ()), _variant(row, kinds[row["of"]]))
    return FailureData(
        kinds=kinds,
        variants=variants,
        tests={
            name: TestOnFile(**{"ages": True, **given, **row, "silent_after": tuple(row.get("silent_after", ()))})
            for name, row in data["test"].items()
        },
        figures={name: _figure(row, standing, source) for name, row in data["figure"].items()},
        claim_source=dict(claim["source"]),
        claim_proof=dict(claim["proof"]),
        claim_against=_figure(claim["against"], standing, source),
        claim_words=tuple(
            ClaimWords(
                row["test"],
                tuple(row.get("only", ())),
                tuple(phrase.casefold() for phrase in row["phrases"]),
                row["says"],
                row.get("came_out", "pass"),
            )
            for row in claim["words"]
        ),
        claim_doubt=frozenset(claim["doubt"]),
        claim_denied=frozenset(claim["denied"]),
        claim_denied_fault=frozenset(claim["denied_fault"]),
        mendings=tuple(
            Mending(name, row["done"], tuple(row["phrases"]), row.get("needs", ""), row.get("outside", False))
            for name, row in data["mending"]["sort"].items()
        ),
        mending_denied=tuple(data["mending"]["denied"]),
        specialist_words=frozenset(data["mending"]["specialist"]),
        mixture_causes=tuple(data["mixture"]["causes"]),
        likelihood=LikelihoodWords(
            tuple((each["from"], each["says"]) for each in data["likelihood"]["words"]),
            data["likelihood"]["standing"],
            data["likelihood"]["source"],
        ),
        standing=standing,
        source=source,
    )


def failure_data_with(own: Mapping[str, Any]) -> FailureData:
    """The program's figures with a workshop's."""
    return failure_data_from(override_modes(_file(), own))


@lru_cache(maxsize=1)
def _file() -> dict[str, Any]:
    return tomllib.loads(files("inventory.reference").joinpath("modes.toml").read_text(encoding="utf-8"))


def _kind_modes(row: Mapping[str, Any], standing: Standing, source: str) -> KindModes:
    modes = tuple(_mode(mode) for mode in row["mode"])
    given = (row.get("standing", standing), row.get("source", source))
    return KindModes(row["name"], row["good"], modes, *given, decides=row.get("decides"))


def _mode(row: Mapping[str, Any]) -> FailureMode:
    named = (row["name"], _ARTICLE.sub("", row["phrase"]), *row.get("found", ()))
    return FailureMode(**{**row, "mended_by": tuple(row.get("mended_by", ())), "found": tuple(map(words_of, named))})


def words_of(text: str) -> str:
    """The words of a text in small letters, with one space between them."""
    return " ".join(_WORD.findall(text.casefold()))


def _variant(row: Mapping[str, Any], usual: KindModes) -> Variant:
    """The usual modes without some, with the shares of the others scaled up to 1."""
    left = [mode for mode in usual.modes if mode.name not in row["without"]]
    whole = sum(mode.share for mode in left)
    modes = tuple(replace(mode, share=mode.share / whole) for mode in left)
    return Variant(
        name=row["name"],
        kind_modes=replace(usual, good=row["good"], modes=modes, sort=row["name"]),
        numbers=frozenset(map(squeeze, row["numbers"])),
        marks=tuple(map(fold, row["marks"])),
    )


def _figure(row: Mapping[str, Any], standing: Standing, source: str) -> Figure:
    return Figure(
        row["value"], row.get("unit", ""), row["says"], row.get("standing", standing), row.get("source", source)
    )
