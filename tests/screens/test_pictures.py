"""Every screen looks as it did when somebody last looked at it and kept it.

`scripts/draw_pictures.py` takes all of them anew; what has changed is then looked at in the diff.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.burn.calls import CallKind
from tests.screens.moments import SCENES
from tests.screens.pictures import FOLDER, changes, kept, pictures


@pytest.mark.parametrize("name", list(SCENES))
async def test_the_screens_look_as_they_did(name: str, tmp_path: Path) -> None:
    taken = await pictures(SCENES[name], tmp_path)
    assert taken
    what = changes(kept(name), taken)
    assert not what, f"{name} looks otherwise; if it is to, scripts/draw_pictures.py:\n{what}"


def test_no_picture_is_left_of_a_scene_that_is_gone() -> None:
    assert {folder.name for folder in FOLDER.iterdir()} == set(SCENES)


def test_there_is_a_picture_of_every_call() -> None:
    called = {
        moment.partition(".")[0] for name in SCENES if "calls" in name for moment in kept(name)
    }
    assert called == {kind.replace(" ", "-") for kind in CallKind}


def test_a_change_is_shown_line_by_line() -> None:
    before, after = {"a": "one\ntwo\n", "b": "same\n"}, {"a": "one\n2\n", "b": "same\n"}
    assert changes(before, after).splitlines()[-3:] == [" one", "-two", "+2"]
    assert changes(before, before) == ""
