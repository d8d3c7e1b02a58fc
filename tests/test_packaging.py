"""The wheel holds what the program needs, and both ways of installing run from any folder.

No network: the build backend and all dependencies come from the environment that runs the tests.
"""

from __future__ import annotations

import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def run(*command: object, cwd: Path) -> str:
    done = subprocess.run([str(word) for word in command], cwd=cwd, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", out, ROOT, cwd=out)
    (built,) = out.glob("*.whl")
    return built


@pytest.fixture
def environment(tmp_path: Path) -> Path:
    """A new virtual environment that finds our dependencies, but not our own packages, where they are now."""
    home = tmp_path / "environment"
    run(sys.executable, "-m", "venv", "--without-pip", home, cwd=tmp_path)
    (site_packages,) = home.glob("lib/python*/site-packages")
    (site_packages / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return home


def test_the_wheel_holds_the_four_packages_and_no_pictures(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.split("/")[0] for name in names if not name.startswith("matchmark-")}

    assert tops == {"inventory", "tui", "migrations", "demo_db"}
    assert not [name for name in names if name.startswith("demo_db/readme/")]
    assert set(names) > {
        "migrations/env.py", "inventory/reference/kinds.toml", "inventory/reference/units.txt",
        "demo_db/strip_down.toml", "tui/frame.tcss",
    }  # fmt: skip


@pytest.mark.parametrize("how", ["wheel", "editable"])
def test_the_demo_runs_from_another_folder(how: str, wheel: Path, environment: Path, tmp_path: Path) -> None:
    what = [wheel] if how == "wheel" else ["--no-build-isolation", "-e", ROOT]
    python = environment / "bin" / "python"
    run(sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps", *what, cwd=tmp_path)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    where = run(python, "-c", "import inventory; print(inventory.__file__)", cwd=elsewhere).strip()

    said = run(environment / "bin" / "matchmark", "demo", cwd=elsewhere)

    assert where.startswith(str(environment if how == "wheel" else ROOT))
    assert "verify" in said
    left = {path.name for path in (elsewhere / "matchmark-demo").iterdir()}
    assert {"workshop.db", "condition-list.xlsx", "pair-report.txt", "walk.txt"} <= left
