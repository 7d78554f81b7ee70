"""The rules of the house that no other tool checks."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TOP = {
    "DEVELOPERS.md",
    "README.md",
    "cockpit",
    "profiles",
    "pyproject.toml",
    "scripts",
    "tests",
}
SCREENS = ("cockpit/app.py", "cockpit/screens/", "cockpit/widgets/")
LARGEST_FILE_BYTES = 200_000
LONGEST_FUNCTION_LINES = 45
LONGEST_SCREEN_LINES = 300

# Written in pieces, so that this file does not find itself.
UNWANTED = [
    "".join(pieces)
    for pieces in (
        ("/", "root", "/"),
        ("/", "work", "/"),
        ("/", "opt", "/"),
        ("/", "tmp", "/"),
        ("py", "pi."),
        ("python", "hosted"),
        ("index", "-url"),
        ("INDEX", "_URL="),
        ("find", "-links"),
    )
]


def _files() -> Iterator[Path]:
    """The project's own files: not what tools leave behind, which is hidden or a cache."""
    for folder, inside, names in os.walk(ROOT):
        inside[:] = [n for n in inside if n == ".ci" or not n.startswith((".", "__pycache__"))]
        yield from (Path(folder, name) for name in names if not name.endswith(".pyc"))


def _modules() -> list[Path]:
    return sorted(file for file in _files() if file.suffix == ".py")


def _name(file: Path) -> str:
    return file.relative_to(ROOT).as_posix()


def _lines_after_docstring(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """How many lines of a function are code: a docstring may be as long as its sources need."""
    body = function.body
    first = body[1] if ast.get_docstring(function) is not None and len(body) > 1 else body[0]
    return (function.end_lineno or first.lineno) - first.lineno + 1


def test_the_top_level_shows_what_was_agreed_and_nothing_else() -> None:
    assert {entry.name for entry in ROOT.iterdir() if not entry.name.startswith(".")} == TOP


def test_no_file_is_too_large_to_read() -> None:
    sizes = {_name(file): file.stat().st_size for file in _files()}
    assert {name: size for name, size in sizes.items() if size > LARGEST_FILE_BYTES} == {}


def test_no_function_needs_scrolling() -> None:
    long = {
        f"{_name(file)}: {node.name}": _lines_after_docstring(node)
        for file in _modules()
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and _lines_after_docstring(node) > LONGEST_FUNCTION_LINES
    }
    assert long == {}


def _screens() -> list[Path]:
    """Every file of a screen, or of what screens draw with."""
    folders = {ROOT / "cockpit" / name for name in ("screens", "widgets")}
    return [file for file in _modules() if folders & set(file.parents)]


def test_every_screen_is_read_at_one_go() -> None:
    lines = {_name(file): len(file.read_text("utf-8").splitlines()) for file in _screens()}
    assert {name: many for name, many in lines.items() if many > LONGEST_SCREEN_LINES} == {}


def test_no_screen_knows_the_log_s_language_or_the_line() -> None:
    sql = re.compile(r"\b(SELECT\b.*\bFROM|INSERT INTO|UPDATE\b.*\bSET|DELETE FROM|PRAGMA)\b")
    bare = re.compile(r"(from|import) +(sqlite3|serial)\b")
    found = [
        f"{_name(file)}: {line.strip()}"
        for file in _screens()
        for line in file.read_text(encoding="utf-8").splitlines()
        if sql.search(line) or bare.search(line)
    ]
    assert found == []


def test_no_screen_brings_a_sheet_that_is_read_while_a_key_waits() -> None:
    found = [
        _name(file)
        for file in _screens()
        if re.search(r"^ +(CSS|CSS_PATH)\b", file.read_text(encoding="utf-8"), re.MULTILINE)
    ]
    assert found == []


def test_no_file_names_an_index_or_a_folder_of_one_computer() -> None:
    found = [
        f"{_name(file)}: {text}"
        for file in _files()
        for text in UNWANTED
        if text in file.read_bytes().decode(errors="replace")
    ]
    assert found == []


def test_every_shipped_profile_is_toml() -> None:
    profiles = sorted(ROOT.joinpath("profiles").rglob("*.toml"))
    assert profiles
    for profile in profiles:
        assert tomllib.loads(profile.read_text(encoding="utf-8")), profile


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    blocks = re.split(r"\n\s*\n", ROOT.joinpath("README.md").read_text(encoding="utf-8").strip())
    opening, following = [block for block in blocks if not block.startswith("# ")][:2]
    assert re.match(r"[A-Z`*]", opening)
    assert len(opening.split()) >= 30
    assert not re.match(r"[A-Z]", following), "the paragraph at the top stands alone"


def test_only_the_screens_pay_for_the_screen() -> None:
    modules = [
        _name(file).removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        for file in _modules()
        if file.is_relative_to(ROOT / "cockpit") and not _name(file).startswith(SCREENS)
    ]
    assert "cockpit.cli" in modules
    look = f"import sys, {', '.join(modules)}; print({{'textual', 'rich'}} & set(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", look], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (done.stdout, done.stderr) == ("set()\n", "")


def _calls(file: Path) -> Iterator[tuple[str, ast.Call]]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute):
            yield node.func.id if isinstance(node.func, ast.Name) else node.func.attr, node


def test_no_screen_takes_a_text_for_markup_and_no_command_prints_one_raw() -> None:
    def is_raw(name: str, call: ast.Call) -> bool:
        if name in ("Static", "Label"):
            told = {one.arg: one.value for one in call.keywords}.get("markup")
            return not (isinstance(told, ast.Constant) and told.value is False)
        if name == "add_row":  # a table takes every text for markup
            return not all("plain_cells(" in ast.unparse(cell) for cell in call.args)
        return name in ("print", "Input", "notify", "from_markup")

    raw = [
        f"{_name(file)}: {ast.unparse(call)[:60]}"
        for file in _modules()
        if file.is_relative_to(ROOT / "cockpit")
        for name, call in _calls(file)
        if is_raw(name, call)
    ]
    assert raw == []


def test_the_pinned_versions_are_versions_alone() -> None:
    lines = ROOT.joinpath("scripts", "constraints.txt").read_text(encoding="utf-8").splitlines()
    pins = [line for line in lines if not line.startswith("#")]
    assert pins == sorted(pins)
    assert all(re.fullmatch(r"[a-z0-9-]+==[0-9.]+", pin) for pin in pins)


def test_every_requirement_is_pinned() -> None:
    pyproject = tomllib.loads(ROOT.joinpath("pyproject.toml").read_text(encoding="utf-8"))
    project, pins = pyproject["project"], ROOT.joinpath("scripts", "constraints.txt").read_text()
    extras = [entry for extra in project["optional-dependencies"].values() for entry in extra]
    for entry in project["dependencies"] + extras + pyproject["build-system"]["requires"]:
        name, _, lowest = entry.partition(">=")
        assert lowest, f"{entry} has a lower bound and nothing else"
        assert f"\n{name}==" in pins
