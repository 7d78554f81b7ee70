"""The screens in the README are those that the cockpit draws today."""

from __future__ import annotations

import pytest

from tests.screens.pictures import FOLDER
from tests.test_house import ROOT


@pytest.mark.parametrize("picture", ["plan/plain", "calls/target"])
def test_a_screen_in_the_readme_is_drawn_so(picture: str) -> None:
    drawn = (FOLDER / f"{picture}.80x24.mm.txt").read_text(encoding="utf-8").split("────────")[0]
    shown = "".join(f"    {line}".rstrip() + "\n" for line in drawn.rstrip("\n").splitlines())
    assert shown in ROOT.joinpath("README.md").read_text(encoding="utf-8")
