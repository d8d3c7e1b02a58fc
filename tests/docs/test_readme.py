from __future__ import annotations

from pathlib import Path

from tests.docs.readme import README, written_anew


def test_the_errand_of_the_readme_answers_as_printed(tmp_path: Path) -> None:
    page = README.read_text(encoding="utf-8")

    assert written_anew(page, tmp_path) == page, "write it anew: python -m tests.docs.readme"
