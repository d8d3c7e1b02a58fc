"""A paper's file and its number on record: the file has its name only once the record has the paper."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.errors import Refused
from tests.condition_list.conftest import file_record, file_workshop, furnished_once, on_day, workshop
from tests.condition_list.workshop import Workshop
from tests.papers.test_unverified import PAPERS

__all__ = ["file_record", "file_workshop", "furnished_once", "on_day", "workshop"]


def test_no_paper_has_a_file_if_the_record_does_not_take_it(
    file_workshop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(_: object) -> None:
        raise Refused("record-busy", "Somebody else has been writing")

    monkeypatch.setattr("inventory.store.journal.log.give_places", busy)
    for sort, write in PAPERS.items():
        with pytest.raises(Refused, match="Somebody else"):
            write(file_workshop, tmp_path / sort, False)
        assert not (tmp_path / sort).exists(), sort


def test_a_paper_whose_file_cannot_take_its_name_says_that_the_record_has_it(
    file_workshop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def taken(*_: object) -> None:
        raise FileExistsError

    monkeypatch.setattr("inventory.store.files.take_name", taken)
    for sort, write in PAPERS.items():
        with pytest.raises(Refused) as refusal:
            write(file_workshop, tmp_path / sort, False)
        assert (refusal.value.code, refusal.value.unchanged) == ("file-exists", False), sort
        assert refusal.value.message.endswith(" 1 as written"), sort
