"""Writes tests/outside/CHECKED.md anew: what was checked against what, and how well it agrees."""

import subprocess
import sys
from pathlib import Path

from oldest_python import require_python

ROOT = Path(__file__).resolve().parent.parent

HEAD = """# What was checked against what

Each line is a comparison that the tests make with something outside of this project. The deviation
is the largest that was seen over all compared values; the bound is what the tests allow. "From
memory" marks figures of a standard that nobody has looked up for this project.
`scripts/outside_table.py` writes this page; a test holds it to what the checks give.

"""


def write() -> None:
    """Write the page; needs the tests' own packages."""
    sys.path.insert(0, str(ROOT))
    from tests.outside.checks import table
    from tests.outside.test_table import CHECKS, PAGE

    PAGE.write_text(HEAD + table(CHECKS), encoding="utf-8")
    print(f"{PAGE.relative_to(ROOT)}: {len(CHECKS)} checks")


def main() -> int:
    """Run the same again with the tests' packages at hand."""
    require_python()
    from environment import SetupError, prepare  # late: it needs today's Python

    try:
        python = prepare("dev", ROOT)
    except SetupError as error:
        print(error, file=sys.stderr)
        return 1
    return subprocess.call([str(python), __file__, "write"], cwd=str(ROOT))


if __name__ == "__main__":
    if sys.argv[1:] == ["write"]:
        write()
    else:
        sys.exit(main())
