"""What all tests share: a home of their own, and property tests that a slow computer can't fail."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from cockpit import locations
from tests.wall_clock import clock_of

settings.register_profile("house", deadline=None, print_blob=True)
settings.load_profile("house")


@pytest.fixture(scope="session", autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test, and no program that a test starts, meets the files of the person who runs it."""
    folder = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(folder))
        for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
            patch.delenv(name, raising=False)
        yield


@pytest.fixture(scope="session", autouse=True)
def zone() -> Iterator[None]:
    """Times are told by the clock on the wall: here that of Greenwich."""
    with clock_of("UTC0"):
        yield


@pytest.fixture(scope="session", autouse=True)
def terminal_of_all_colours() -> Iterator[None]:
    """The screens are tested as a terminal with all colours and letters has them, wherever that is.

    A test of one that has fewer says so.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TERM", "xterm-256color")
        patch.setenv("COLORTERM", "truecolor")
        patch.setenv("LANG", "C.UTF-8")
        for name in ("NO_COLOR", "LC_ALL"):
            patch.delenv(name, raising=False)
        yield


@pytest.fixture
def by_readings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A gauge profile of the shop's own, an invented burn whose readings switch the arc clock."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    path = locations.user_profiles() / "gauge" / "follows.toml"
    assert path.is_relative_to(tmp_path)
    path.parent.mkdir(parents=True)
    path.write_text('source = "simulated"\nrate_hz = 10\narc = "readings"\n', encoding="utf-8")
    return path.stem
