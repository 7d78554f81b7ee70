"""One invented hole from take-in to record, with nobody at the keys."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cockpit.flow.past import past_burn
from cockpit.flow.rehearsal import rehearse
from cockpit.log.rows import Result
from cockpit.log.store import Store


@pytest.mark.parametrize("seed", range(8))
def test_a_rehearsed_hole_comes_to_its_end(tmp_path: Path, seed: int) -> None:
    rehearsed = rehearse(tmp_path, seed)
    page, state = rehearsed.page, rehearsed.state
    assert page.outcome is not None
    assert page.outcome.outcome.result is Result.DONE
    assert page.row.step == "ended"
    assert page.plan is not None
    assert state.depth_mm is not None
    fell = "through" in {row.call for row in page.calls}
    assert fell or abs(state.depth_mm.mid - page.plan.depth.target_mm) < 0.3
    assert {row.call for row in page.calls} & {"target", "limit", "through"}
    assert state.arc_s == pytest.approx(page.row.arc_s, abs=0.01)


def test_the_same_seed_gives_the_same_burn_and_the_log_replays_it(tmp_path: Path) -> None:
    one, other = (rehearse(tmp_path / name, 3) for name in ("one", "other"))
    assert replace(one.state, t_s=0.0) == replace(other.state, t_s=0.0)
    with Store(tmp_path / "one" / "shop.sqlite3") as store:
        past = past_burn(store.connection, one.page.row.id)
    assert past is not None
    assert [(call.t_s, call.kind.value) for call in past.calls] == [
        (row.t_s, row.call) for row in one.page.calls
    ]
    assert past.state().depth_mm == one.state.depth_mm


def test_rehearsals_in_one_folder_add_up(tmp_path: Path) -> None:
    assert [rehearse(tmp_path, seed).page.row.id for seed in (0, 1)] == [1, 2]
