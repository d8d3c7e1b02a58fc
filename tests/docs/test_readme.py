from __future__ import annotations

import doctest
from pathlib import Path

import pytest

from tests.docs.readme import PYTHON, README, written_anew


def test_the_errand_of_the_readme_answers_as_printed(tmp_path: Path) -> None:
    page = README.read_text(encoding="utf-8")

    assert written_anew(page, tmp_path) == page, "write it anew: python -m tests.docs.readme"


def test_the_python_of_the_readme_answers_as_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = README.read_text(encoding="utf-8")
    written_anew(page, tmp_path)
    monkeypatch.chdir(tmp_path)
    examples = doctest.DocTestParser().get_doctest("".join(PYTHON.findall(page)), {}, "README.md", None, None)
    runner = doctest.DocTestRunner(verbose=False)
    runner.run(examples)

    assert (len(examples.examples) > 1, runner.failures) == (True, 0)
