"""Making the environment: for real, with a project small enough to need nothing from outside."""

from __future__ import annotations

import ast
import json
import runpy
import subprocess
import sys
from pathlib import Path

import pytest
from environment import ROOT, SetupError, missing_part, prepare, python_in
from oldest_python import refusal
from run import arguments

SCRIPTS = ROOT / "scripts"

PYPROJECT = """
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "tiny"
version = "1.0"
dependencies = []
"""

# The least that an editable installation asks of a build backend.
BACKEND = """
import zipfile
from pathlib import Path

INFO = "tiny-1.0.dist-info"

def build_editable(folder, config_settings=None, metadata_directory=None):
    name = "tiny-1.0-py3-none-any.whl"
    with zipfile.ZipFile(Path(folder, name), "w") as wheel:
        wheel.writestr("tiny.pth", str(Path.cwd()))
        wheel.writestr(f"{INFO}/METADATA", "Metadata-Version: 2.1\\nName: tiny\\nVersion: 1.0\\n")
        tag = "Wheel-Version: 1.0\\nGenerator: tiny\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n"
        wheel.writestr(f"{INFO}/WHEEL", tag)
        wheel.writestr(f"{INFO}/RECORD", "")
    return name
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A checkout in a folder whose name has a space, as on many a desktop."""
    root = tmp_path / "tiny project"
    (root / "scripts").mkdir(parents=True)
    (root / "pyproject.toml").write_text(PYPROJECT, encoding="utf-8")
    (root / "scripts" / "constraints.txt").write_text("", encoding="utf-8")
    (root / "backend.py").write_text(BACKEND, encoding="utf-8")
    (root / "tiny.py").write_text("print('tiny works')\n", encoding="utf-8")
    return root


def _says(python: Path) -> str:
    done = subprocess.run(
        [str(python), "-m", "tiny"], cwd="/", capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


def _files(project: Path) -> list[tuple[Path, int]]:
    """Every file of the environment with its time."""
    return sorted((file, file.stat().st_mtime_ns) for file in (project / ".venv").rglob("*"))


def test_the_first_run_installs_and_the_second_does_nothing(
    project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    python = prepare(root=project)
    assert python == python_in(project)
    assert _says(python) == "tiny works"
    assert capsys.readouterr().err.startswith("Setting up .venv")

    before = _files(project)
    assert prepare(root=project) == python
    assert capsys.readouterr().err == ""
    assert _files(project) == before

    prepare("dev", project)
    with_tools = _files(project)
    assert with_tools != before
    prepare(root=project)
    assert _files(project) == with_tools, "the developer's environment does for the program too"


def test_what_failed_says_why_in_one_sentence_and_is_made_afresh_next_time(project: Path) -> None:
    (project / "backend.py").write_text("raise RuntimeError('no backend today')\n")
    with pytest.raises(SetupError, match=r"^The packages could not be installed \([^\n]+\.$"):
        prepare(root=project)
    left_over = project / ".venv" / "half of something"
    left_over.touch()

    (project / "backend.py").write_text(BACKEND, encoding="utf-8")
    assert _says(prepare(root=project)) == "tiny works"
    assert not left_over.exists()


def test_the_stamp_is_gone_before_anything_else_happens(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stamp_file = project / ".venv" / "stamp.json"
    stamp_file.parent.mkdir()
    stamp_file.write_text("{}", encoding="utf-8")
    monkeypatch.setitem(sys.modules, "ensurepip", None)
    with pytest.raises(SetupError):
        prepare(root=project)
    assert not stamp_file.exists()


def test_a_changed_file_is_installed_on_top_and_another_python_afresh(project: Path) -> None:
    prepare(root=project)
    stamp_file, kept = project / ".venv" / "stamp.json", project / ".venv" / "kept"
    kept.touch()
    first = json.loads(stamp_file.read_text(encoding="utf-8"))

    (project / "scripts" / "constraints.txt").write_text("other==1.0\n", encoding="utf-8")
    prepare(root=project)
    second = json.loads(stamp_file.read_text(encoding="utf-8"))
    assert second["files"] != first["files"]
    assert kept.exists()

    stamp_file.write_text(json.dumps({**second, "python": "3.11.0rc1"}), encoding="utf-8")
    assert _says(prepare(root=project)) == "tiny works"
    assert json.loads(stamp_file.read_text(encoding="utf-8")) == second
    assert not kept.exists()


def test_an_index_out_of_reach_is_one_sentence(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    needy = PYPROJECT.replace("requires = []", 'requires = ["a-tool-that-nobody-made"]')
    (project / "pyproject.toml").write_text(needy, encoding="utf-8")
    monkeypatch.setenv("PIP_" + "INDEX" + "_URL", "http://127.0.0.1:9/")
    monkeypatch.setenv("PIP_RETRIES", "1")
    with pytest.raises(SetupError, match=r"^The packages .* can't be reached: [^\n]*again\.$"):
        prepare(root=project)
    assert not (project / ".venv" / "stamp.json").exists()


@pytest.mark.parametrize("part", ["venv", "ensurepip"])
def test_a_python_without_parts_says_what_to_install(
    part: str, project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert missing_part() == ""
    monkeypatch.setitem(sys.modules, part, None)
    monkeypatch.setattr("platform.system", lambda: "Linux")
    with pytest.raises(SetupError, match="sudo apt install python3-venv"):
        prepare(root=project)
    assert not (project / ".venv").exists()


def test_an_old_python_is_refused_in_words() -> None:
    assert refusal((3, 11)) == refusal((3, 14)) == refusal((4, 0)) == ""
    assert "needs Python 3.11 or newer, and this is 3.9:" in refusal((3, 9))
    assert "and this is 2.7" in refusal((2, 7))


@pytest.mark.parametrize("script", ["run.py", "test.py", "oldest_python.py"])
def test_an_old_python_can_read_as_far_as_the_refusal(script: str) -> None:
    read = ast.parse((SCRIPTS / script).read_text(encoding="utf-8"), feature_version=(3, 6))
    assert read.body


def test_without_a_terminal_a_hole_is_rehearsed() -> None:
    assert arguments(False, ["--seed", "7"]) == ["rehearse", "--seed", "7"]
    assert arguments(True, []) == ["--demo"]


def test_every_check_runs_and_the_failing_ones_are_named(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    failing = runpy.run_path(str(SCRIPTS / "test.py"))["failing"]
    python = Path(sys.executable)
    checks = {
        "first": [python.name, "-c", "print('first said this'); raise SystemExit(1)"],
        "second": [python.name, "-c", "print('second said this')"],
        "third": [python.name, "-c", "import os; os.abort()"],
    }
    assert failing(checks, python.parent, tmp_path) == ["first", "third"]
    said = capfd.readouterr().out
    assert "first         FAILED" in said
    assert "second        ok" in said
    assert "first said this" in said
    assert "second said this" not in said
