"""Makes the project's own environment, `.venv`, with the standard library only.

What is needed comes from `pyproject.toml`, in the versions of `constraints.txt`. A stamp, written
last, says what was installed: with the right stamp there is nothing to do, and without one the last
attempt was interrupted, so the environment is made afresh.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import platform
import subprocess
import sys
import tomllib
from dataclasses import asdict, dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

# What pip says when it gets no answer, or not from the one it asked.
_NO_INDEX = (
    "connection broken",
    "Max retries exceeded",
    "timed out",
    "confirming the ssl certificate",
)


class SetupError(Exception):
    """The environment could not be made; one sentence for the person who started the script."""


@dataclass(frozen=True)
class Stamp:
    """What an environment holds: which Python, which checkout, from which files, which extra."""

    python: str
    root: str
    files: str
    extra: str

    def same_place(self, other: Stamp) -> bool:
        """Whether the two are of the same Python in the same checkout."""
        return (self.python, self.root) == (other.python, other.root)

    def covers(self, wanted: Stamp) -> bool:
        """Whether this environment does for `wanted`; any extra includes the program itself."""
        enough = wanted.extra in ("", self.extra)
        return self.same_place(wanted) and self.files == wanted.files and enough


def prepare(extra: str = "", root: Path = ROOT) -> Path:
    """The environment's Python, with the project and its `extra` installed; quick when it is there.

    Raises SetupError with what to do when something is missing.
    """
    python, stamp_file = python_in(root), root / ".venv" / "stamp.json"
    wanted, found = _wanted(root, extra), _read(stamp_file)
    if found and found.covers(wanted) and python.exists():
        return python
    print("Setting up .venv; this happens once and takes a minute or two.", file=sys.stderr)
    stamp_file.unlink(missing_ok=True)  # first, so that no interruption leaves a stamp that lies
    if not (found and found.same_place(wanted) and python.exists()):
        _make(root / ".venv")
    _install(python, extra, root)
    stamp_file.write_text(json.dumps(asdict(wanted), indent=2) + "\n", encoding="utf-8")
    return python


def start_again(script: str, arguments: list[str], extra: str = "") -> int:
    """Runs a script once more, with `--here`, in the environment that it needs; its exit code."""
    try:
        python = prepare(extra, ROOT)
    except SetupError as error:
        print(error, file=sys.stderr)
        return 1
    return subprocess.call([str(python), script, "--here", *arguments])


def python_in(root: Path) -> Path:
    """Where the Python of the environment is on this kind of computer."""
    inside = Path("Scripts", "python.exe") if os.name == "nt" else Path("bin", "python")
    return root / ".venv" / inside


def missing_part() -> str:
    """What to install when this Python can't make environments; empty when it can."""
    if all(importlib.util.find_spec(name) for name in ("venv", "ensurepip")):
        return ""
    if platform.system() == "Linux":
        how = f"on Debian or Ubuntu type 'sudo apt install python3-venv' (or {_versioned()}-venv)"
    else:
        how = "install Python again from its own installer, with pip"
    return f"This Python ({sys.executable}) can't make environments: {how}, then start this again."


def _versioned() -> str:
    """The name of this Python with its version, such as python3.11."""
    return "python{}.{}".format(*sys.version_info)


def _wanted(root: Path, extra: str) -> Stamp:
    """The stamp of an environment that is up to date."""
    digest = hashlib.sha256()
    for file in (root / "pyproject.toml", root / "scripts" / "constraints.txt"):
        digest.update(file.read_bytes())
    return Stamp(platform.python_version(), str(root), digest.hexdigest(), extra)


def _read(stamp_file: Path) -> Stamp | None:
    """The stamp of the last complete installation; None when there is none that can be read."""
    try:
        return Stamp(**json.loads(stamp_file.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def _make(folder: Path) -> None:
    """An empty environment in `folder`, whatever was there before."""
    if missing := missing_part():
        raise SetupError(missing)
    # From inside an environment, the Python it was made from: the folder may be our own.
    base = getattr(sys, "_base_executable", sys.executable)
    done = _run([base, "-m", "venv", "--clear", str(folder)])
    if done.returncode:
        raise SetupError(f"{folder} could not be made ({_reason(done)}): delete it and try again.")


def _install(python: Path, extra: str, root: Path) -> None:
    """The build tools, then the project itself so that edits count at once."""
    pyproject = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    if tools := pyproject["build-system"]["requires"]:
        _pip(python, root, *tools)
    # Without isolation, because the isolated build would fetch tools that nothing pins.
    project = f"{root}[{extra}]" if extra else str(root)
    _pip(python, root, "--no-build-isolation", "--editable", project)


def _pip(python: Path, root: Path, *what: str) -> None:
    """Installs with the pinned versions, or says in one sentence why not."""
    pins = str(root / "scripts" / "constraints.txt")
    quiet = ("--quiet", "--disable-pip-version-check", "--no-input")
    done = _run([str(python), "-m", "pip", "install", *quiet, "--constraint", pins, *what])
    if done.returncode == 0:
        return
    if any(sign in done.stderr for sign in _NO_INDEX):
        raise SetupError(
            "The packages could not be fetched because their index can't be reached: "
            "check the network (or pip's own settings) and start this again."
        )
    raise SetupError(
        f"The packages could not be installed ({_reason(done)}): mend that, then start this again."
    )


def _run(command: list[str]) -> subprocess.CompletedProcess[str]:
    """Runs a command and keeps what it says, which only matters when it fails."""
    return subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)


def _reason(done: subprocess.CompletedProcess[str]) -> str:
    """Why a command failed: its first error, or else the last thing it said."""
    lines = (done.stderr.strip() or done.stdout.strip()).splitlines()
    errors = [line.removeprefix("ERROR: ") for line in lines if line.startswith("ERROR: ")]
    return (errors[:1] or lines[-1:] or ["it gave no reason"])[0].strip().rstrip(".")
