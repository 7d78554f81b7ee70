"""``burn-cockpit`` without a command, as far as the first screen: what can't be is one sentence."""

from __future__ import annotations

from pathlib import Path

from cockpit.log.store import Store
from tests.commands.shell import ROOT, refusal
from tests.log.conftest import make_read_only


def test_a_demo_on_a_log_that_can_not_be_written_says_so(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    Store(path).close()
    make_read_only(path)
    said = refusal(1, "--demo", "--data", tmp_path)
    assert said.out == ""
    assert f"{path}: the log can't be written" in said.err


def test_a_demo_that_the_shops_own_profiles_can_not_plan_says_so(tmp_path: Path) -> None:
    own = tmp_path / ".config" / "burn-cockpit" / "profiles" / "materials"
    own.mkdir(parents=True)
    shipped = (ROOT / "profiles/materials/standard.toml").read_text("utf-8")
    (own / "standard.toml").write_text(shipped.replace('"cast iron"', '"white iron"'), "utf-8")
    said = refusal(1, "--demo", "--data", tmp_path / "log", home=tmp_path)
    assert said.out == ""
    assert "cast iron" in said.err
