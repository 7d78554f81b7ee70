import io

import pytest

from cockpit.widgets.terminal import ascii_only


def stream(encoding: str) -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(), encoding=encoding)


@pytest.mark.parametrize(
    ("environment", "encoding", "expected"),
    [
        ({"TERM": "xterm-256color", "LANG": "en_GB.UTF-8"}, "utf-8", False),
        ({"TERM": "xterm-256color"}, "utf-8", False),
        ({"TERM": "xterm-256color", "LANG": "en_GB.ISO-8859-1"}, "iso-8859-1", True),
        ({"TERM": "xterm-256color", "LC_ALL": "C"}, "utf-8", True),
        ({"TERM": "xterm", "LANG": "C", "LC_CTYPE": "C.UTF-8"}, "utf-8", True),
        ({"TERM": "xterm", "LANG": "C", "LC_ALL": "C.UTF-8"}, "utf-8", False),
        ({"TERM": "linux", "LANG": "en_GB.UTF-8"}, "utf-8", True),
        ({}, "cp1252", True),
    ],
)
def test_what_the_terminal_can_show(
    environment: dict[str, str], encoding: str, expected: bool
) -> None:
    assert ascii_only(environment, (stream(encoding), None)) is expected
