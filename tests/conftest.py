"""What all tests share: a home of their own, and property tests that a slow computer can't fail."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings

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
