"""The tests that need a pseudo-terminal: a serial line to talk over, or a terminal to run in."""

import sys

import pytest

#: Windows has none, so there is nothing to open there and nothing to test over. What can be tested
#: without one (the TCP port, the line reader, the screens) runs on every system.
needs_pty = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminals")
