"""Every command explains itself and imports no more than it uses."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import click
import pytest

from inventory.cli import completed
from inventory.cli.app import COMMANDS, root
from tests.cli.conftest import NEVER, Shop
from tests.docs.commands import commands
from tui import entry

LEAVES = dict(commands(root()))
GROUPS = {name.split()[0]: import_module(COMMANDS[name.split()[0]][0]).command for name in LEAVES if " " in name}
#: Every command that can be typed, by the words that call it; groups and `matchmark` itself among them.
EVERY: dict[str, click.Command] = {"": root(), **GROUPS, **LEAVES}
HOME = Path(__file__).parents[2]


@pytest.mark.parametrize("name", sorted(EVERY), ids=lambda name: name or "matchmark")
def test_help_names_every_option_and_is_in_our_tone(file_shop: Shop, name: str) -> None:
    command = EVERY[name]
    said = file_shop.bare(*name.split(), "--help")
    assert (said.status, said.err) == (0, "")
    for param in command.params:
        if isinstance(param, click.Option):
            for spelled in (*param.opts, *param.secondary_opts):
                assert re.search(rf"(?<![\w-]){re.escape(spelled)}(?![\w-])", said.out), spelled
    assert command.get_short_help_str(200), "it says what it does"
    assert not NEVER.search(said.out)


def test_each_word_of_the_contract_is_a_command() -> None:
    contract = """new; car add; teardown begin; teardown log; teardown status; teardown close; seal note; bench list;
        bench run; bench history; evidence; part find; part show; fact list; fact withdraw; fact correct; pairs; pairs plan;
        work log; refit fit; value note; condition-list; sheet template; sheet read; sheet write; verify; demo"""
    assert {" ".join(each.split()) for each in contract.split(";")} <= set(EVERY)


def imported(code: str, *names: str) -> set[str]:
    """Which of these packages a fresh interpreter has imported after some code."""
    tail = f"\nimport sys; print('::', *[name for name in {names!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code + tail], capture_output=True, text=True, cwd=HOME, check=True)
    return set(done.stdout.rpartition("::")[2].split())


HEAVY = (
    "alembic",
    "pandas",
    "xlsxwriter",
    "textual",
    "highspy",
    "numpy",
    "pint",
    "edtf",
    "rapidfuzz",
    "PIL",
)


@pytest.mark.parametrize("words", [[], ["part"], ["sheet"], ["bench", "run"], ["condition-list"], ["teardown", "log"]],
                         ids=" ".join)  # fmt: skip
def test_help_imports_nothing_heavy(words: list[str]) -> None:
    code = f"from tui.entry import main; main({[*words, '--help']!r})"
    assert imported(code, "sqlalchemy", *HEAVY) == set()


def test_the_version_needs_not_even_click() -> None:
    assert imported("from tui.entry import main; main(['--version'])", "click", "sqlalchemy", *HEAVY) == set()


def test_finding_in_a_file_needs_not_even_sqlalchemy(file_shop: Shop) -> None:
    file_shop.part(match_code="K")
    words = ["--record", file_shop.target, "part", "find", "K", "not seen"]
    assert imported(f"from tui.entry import main; main({words!r})", "sqlalchemy", *HEAVY) == set()


def test_no_command_imports_the_browser(file_shop: Shop) -> None:
    tag = file_shop.part(match_code="K")
    file_shop.stripping()
    lines = [
        ["car", "list"], ["teardown", "log", "--kind", "relay"], ["seal", "note", tag, "--seal", "cap", "--state", "intact"],
        ["bench", "run", "resistance", tag, "--reading", "primary=94ohm"], ["evidence", tag], ["pairs", "plan"],
        ["part", "show", tag], ["fact", "list", tag], ["verify"],
    ]  # fmt: skip
    runs = "; ".join(f"main({['--record', file_shop.target, *words]!r})" for words in lines)
    assert imported(f"from tui.entry import main; {runs}", "textual", "xlsxwriter", "pandas") == set()


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("matchmark ", "car"),
        ("matchmark part sh", "show"),
        ("matchmark part show ", "K4127-7"),
        ("matchmark part show k41", "K4127-7"),
        ("matchmark car show ", "Green\\\\ tourer"),
        ('matchmark car show "gr', "Green tourer"),
        ("matchmark car show 'gr", "Green tourer"),
        ("matchmark part add --kind pre", "pressure\\\\ sensor"),
        ("matchmark completion z", "zsh"),
    ],
)
def test_the_tab_key_offers_what_can_follow(
    shop: Shop, typed: str, offered: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.ok("car", "add", "Green tourer")
    shop.ok("part", "add", "--tag", "K4127-7", "--kind", "relay")
    words = typed.split(" ")
    monkeypatch.setenv("MATCHMARK_RECORD", shop.target)
    monkeypatch.setenv("COMP_WORDS", typed)
    monkeypatch.setenv("COMP_CWORD", str(len(words) - 1))
    monkeypatch.setenv("_MATCHMARK_COMPLETE", "bash_complete")
    capsys.readouterr()
    with pytest.raises(SystemExit):
        entry.main([])
    assert offered in [line.partition(",")[2] for line in capsys.readouterr().out.splitlines()]


@pytest.mark.parametrize(
    "name", ["a$(touch x)", "`id`;x", r"m\;id", r"e\back\\slash", r"k\$HOME ~ {a,b}", "c'q\"uote & | > x", "f*?[x], g"]
)
def test_a_name_that_bash_would_obey_is_a_word_on_its_line(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """As click's script does it: `read` takes one backslash of two away, then the line has the word."""
    monkeypatch.setenv("_MATCHMARK_COMPLETE", "bash_complete")
    read = re.sub(r"\\(.)", r"\1", completed._as_typed(name))
    assert shlex.split(read) == [name]
    assert re.search(r"(?<!\\)(?:\\\\)*[;$`&|> ]", read) is None
