"""Every parser on some hundred made-up inputs. For long: python -m tests.fuzz --seconds 1800."""

from __future__ import annotations

import random

import pytest

from inventory.errors import Refused
from tests.fuzz.parsers import PARSERS

#: Inputs of each parser here: about a second of work. Seeds of finds that were mended are tried again first.
COUNT = {"workbook": 20, "passport": 12, "backup": 8, "condition_list": 20, "header": 60, "toml": 100, "history": 150}
FOUND: dict[str, tuple[int, ...]] = {
    "readings": (10479, 384020394),
    "fasteners": (901906850,),
    "condition_list": (628704586,),
}


@pytest.mark.parametrize("name", PARSERS)
def test_it_reads_or_refuses(name: str) -> None:
    for seed in (*FOUND.get(name, ()), *range(COUNT.get(name, 300))):
        try:
            PARSERS[name](random.Random(seed))
        except Refused:
            continue
        except Exception as problem:
            raise AssertionError(f"python -m tests.fuzz {name} --once {seed}") from problem
