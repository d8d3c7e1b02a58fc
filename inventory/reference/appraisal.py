"""Reference data: the questions a buyer can ask a seller, their cost, and the meaning of seals and letters."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing

__all__ = ["AppraisalData", "Question", "appraisal_data", "appraisal_data_from"]


@dataclass(frozen=True)
class Question:
    """One question to a seller. It may ask for a `test`, shown by `proof`; `wait` is its cost as a share of the price.

    `kinds`: only for these, empty for all. `asks` is the text to the seller, `phrase` its name in a sentence to the
    buyer, `then` the option to use when the answer comes.
    """

    name: str
    asks: str
    phrase: str
    then: str
    kinds: tuple[str, ...]
    test: str
    proof: str
    wait: float

    @property
    def seal(self) -> str:
        """The seal it asks about; empty if none."""
        return self.test.removeprefix("seal ") if self.test.startswith("seal ") else ""


@dataclass(frozen=True)
class AppraisalData:
    """All of it. `meanings` by what is looked at and how it is: ("cap", "missing")."""

    questions: tuple[Question, ...]
    meanings: Mapping[tuple[str, str], str]
    greeting: str
    opening: str
    closing: str
    standing: Standing
    source: str

    def means(self, of: str, state: str) -> str:
        """What the state of a seal or the letter means; empty if there is nothing to say."""
        said = self.meanings.get((of, state), "")
        return said or ("" if of in ("cap", "letter") else self.meanings.get(("seal", state), "").format(seal=of))


def appraisal_data_from(data: Mapping[str, Any]) -> AppraisalData:
    """The contents of appraisal.toml as typed values."""
    questions = tuple(
        Question(
            name=row["name"],
            asks=row["asks"],
            phrase=row["phrase"],
            then=row["then"],
            kinds=tuple(row.get("kinds", ())),
            test=row.get("test", ""),
            proof=row.get("proof", ""),
            wait=row.get("wait", 0.0),
        )
        for row in data["question"]
    )
    meanings = {(row["of"], row["state"]): row["says"] for row in data["meaning"]}
    return AppraisalData(questions, meanings, **data["message"], standing=data["standing"], source=data["source"])


@lru_cache(maxsize=1)
def appraisal_data() -> AppraisalData:
    """The program's data."""
    text = files("inventory.reference").joinpath("appraisal.toml").read_text(encoding="utf-8")
    return appraisal_data_from(tomllib.loads(text))
