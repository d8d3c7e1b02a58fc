"""What is not known of a part, and the lanes and sources by which its facts are shown. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from inventory.facts.how_known import OWN, WRITTEN
from inventory.papers.passport.history import ToldFact

__all__ = ["LANES", "SOURCES", "by_source", "in_lane", "missing_of"]

LANES = {"title": "Whose it was", "custody": "With whom it was", "use": "Where it was fitted"}
_USE = ("removal", "fitting")
#: How facts are known, for people: the sorts of sources, the best first.
SOURCES = (
    "Seen or measured by the workshop that wrote this",
    "From documents",
    "Said by others",
    "Written in a sheet, a list or another passport",
    "Inferred, or known in another way",
)


def in_lane(facts: Iterable[ToldFact], lane: str) -> list[ToldFact]:
    """The facts of one lane: title, custody or use."""
    return [fact for fact in facts if _lane_of(fact) == lane]


def _lane_of(fact: ToldFact) -> str:
    """The lane of a fact; one that another passport brought in words says it in them."""
    if fact.kind == "note":
        word, _, lane = str(fact.values.get("text", "")).partition(":")[0].partition(", ")
        first = fact.id.rpartition("-")[0]
        return "use" if first in _USE else lane if first == word == "provenance" else ""
    return "use" if fact.kind in _USE else str(fact.values.get("lane", ""))


def by_source(facts: Iterable[ToldFact]) -> dict[str, list[ToldFact]]:
    """The facts by the sort of their source; a sort without facts is left out."""
    found: dict[str, list[ToldFact]] = {source: [] for source in SOURCES}
    for fact in facts:
        found[SOURCES[_source(fact)]].append(fact)
    return {source: told for source, told in found.items() if told}


def _source(fact: ToldFact) -> int:
    if fact.how_known in OWN:
        return 2 if fact.kind == "claim" else 0
    if fact.how_known in WRITTEN:
        return 3
    if "document" in fact.how_known or "paper" in fact.how_known:
        return 1
    return 2 if fact.how_known.startswith(("said", "stated")) or fact.kind == "claim" else 4


def missing_of(
    part: Mapping[str, Any], facts: Sequence[ToldFact], shown: Iterable[str], seals: Iterable[str]
) -> tuple[str, ...]:
    """What nothing is on record about. `shown`: what the pictures in the bag show; `seals`: those its kind has."""
    kinds = {fact.kind for fact in facts}
    tests = {fact.kind for fact in facts if fact.how_known in OWN}
    noted = {fact.values.get("seal") for fact in facts if fact.kind == "seal_sighting"}
    pictures = set(shown)
    lacking = {
        "no serial was read": not part.get("serial"),
        "no part number was read": not part.get("part_number"),
        "no picture of the whole is enclosed": "whole" not in pictures,
        "no picture of the marking is enclosed": "marking" not in pictures,
        "it was not measured here": "bench_run" not in tests,
        "how it looks was not noted": "assessment" not in kinds,
        "how it came and whose it was is not on record": not in_lane(facts, "title"),
        "where it was fitted is not on record": not in_lane(facts, "use"),
    }
    never = [f"the seal {seal} was never noted" for seal in seals if seal not in noted]
    return tuple([says for says, lacks in lacking.items() if lacks] + never)
