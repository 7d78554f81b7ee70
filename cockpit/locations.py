"""Where the cockpit's files are; nothing else in the program asks the platform."""

from __future__ import annotations

from pathlib import Path

import platformdirs

APP = "burn-cockpit"
LOG_NAME = "shop.sqlite3"
#: Beside the log: which gauge was picked.
GAUGE_CHOICE_NAME = "gauge.json"
#: Beside the log: what an operator has set.
PREFERENCES_NAME = "preferences.json"

_PACKAGE = Path(__file__).resolve().parent


def shipped_profiles() -> Path:
    """The profiles that come with the program: inside the wheel, or beside the checkout's code."""
    in_wheel = _PACKAGE / "_profiles"
    return in_wheel if in_wheel.is_dir() else _PACKAGE.parent / "profiles"


def user_profiles() -> Path:
    """The shop's own profiles; a file here wins over a shipped one of the same kind and name."""
    return Path(platformdirs.user_config_dir(APP, appauthor=False)) / "profiles"


def shop_data() -> Path:
    """The folder of the shop's own log."""
    return Path(platformdirs.user_data_dir(APP, appauthor=False)) / "shop"


def demo_data() -> Path:
    """The folder of the demo shop's log: never the shop's own."""
    return Path(platformdirs.user_data_dir(APP, appauthor=False)) / "demo"
