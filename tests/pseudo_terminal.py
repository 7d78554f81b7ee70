"""The tests that need a pseudo-terminal: a serial line to talk over, or a terminal to run in."""

import sys

import pytest

#: What can be tested without one (the TCP port, the line reader, the screens) runs on every system.
needs_pty = pytest.mark.skipif(  # Windows has none: nothing to open there, nothing to test over.
    sys.platform == "win32", reason="Windows has no pseudo-terminals"
)
