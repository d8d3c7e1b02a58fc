"""Judging typed runs in tests: the same door as everybody's, with what a context holds given by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from inventory.bench import judgements
from inventory.bench.typed_run import RunContext, TypedRun
from inventory.bench.verdicts import RunJudgement
from inventory.reference.data import PROGRAM, Reference

__all__ = ["check", "context", "judge"]


def context(part_number: str = "", data: Reference = PROGRAM, **known: Any) -> RunContext:
    """What a run is judged by; its kind is given with the run."""
    return RunContext("", data, part_number, **known)


def judge(
    procedure: str,
    kind: str,
    readings: Sequence[str],
    conditions: Mapping[str, object],
    known: RunContext | None = None,
) -> RunJudgement:
    """What a typed run proves of a kind."""
    return judgements.judge(TypedRun(procedure, tuple(readings), conditions), replace(known or context(), kind=kind))


def check(
    procedure: str,
    kind: str,
    readings: Sequence[str],
    conditions: Mapping[str, object],
    known: RunContext | None = None,
) -> None:
    """Read a typed run; raises `Refused` for what cannot stand."""
    judgements.check(TypedRun(procedure, tuple(readings), conditions), replace(known or context(), kind=kind))
