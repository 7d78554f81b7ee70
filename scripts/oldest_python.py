"""Refuses a Python that is too old, in words. Written so that even Python 3.6 can read it."""

import platform
import sys

OLDEST = (3, 11)


def refusal(version: "tuple[int, ...]") -> str:
    """What to say to a Python of this version; empty when it is new enough.

    >>> refusal((3, 12))
    ''
    >>> refusal((3, 9))[:49]
    'This needs Python 3.11 or newer, and this is 3.9:'
    """
    if tuple(version[:2]) >= OLDEST:
        return ""
    oldest, found = (".".join(map(str, numbers[:2])) for numbers in (OLDEST, version))
    return (
        f"This needs Python {oldest} or newer, and this is {found}: {_how_to_install()}, "
        "then start this script with the newer one."
    )


def require_python() -> None:
    """Ends the program with exit code 1 and one sentence when Python is too old."""
    words = refusal(sys.version_info[:2])
    if words:
        sys.exit(words)


def _how_to_install() -> str:
    """What to type on this kind of computer."""
    ways = {
        "Darwin": "install one with 'brew install python3'",
        "Windows": "install one with 'winget install Python.Python.3.13'",
    }
    linux = (
        "install one (Debian 12, Ubuntu 24.04 or later: 'sudo apt install python3 python3-venv')"
    )
    return ways.get(platform.system(), linux)
