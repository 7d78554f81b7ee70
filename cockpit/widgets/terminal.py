"""What the terminal can show."""

import os
import sys
from collections.abc import Mapping
from typing import TextIO


def ascii_only(
    environment: Mapping[str, str] | None = None, streams: tuple[TextIO | None, ...] | None = None
) -> bool:
    """Tell whether drawings must keep to plain ASCII characters.

    They must when what is written is not encoded as UTF-8, when the person's locale is the plain
    "C" one, and on the text console of Linux (``TERM=linux``), whose fonts hold the half blocks but
    neither the braille dots nor the eighth blocks. Both output streams count, since the
    screen is drawn on standard error on some systems. By default looks at this process.
    """
    environment = os.environ if environment is None else environment
    streams = (sys.__stdout__, sys.__stderr__) if streams is None else streams
    return (
        environment.get("TERM") in ("linux", "dumb")
        or _plain_locale(environment)
        or not all(_speaks_utf8(stream) for stream in streams if stream is not None)
    )


def _plain_locale(environment: Mapping[str, str]) -> bool:
    """Tell whether the person asked for the "C" locale.

    Python puts UTF-8 in the place of a "C" locale, so its streams alone do not tell. It does so by
    setting LC_CTYPE, which is why LANG is asked even when LC_CTYPE is set.
    """
    wanted = environment.get("LC_ALL") or environment.get("LANG")
    return wanted in ("C", "POSIX")


def _speaks_utf8(stream: TextIO) -> bool:
    return (stream.encoding or "").lower().replace("-", "") == "utf8"
