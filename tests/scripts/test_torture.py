"""The torture itself, in its short form; and that it would find what it looks for."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pytest
import torture_faults
from environment import ROOT
from torture_record import Sent
from torture_screen import read_screen
from torture_shop import Shop, Tally
from torture_witness import Witness

from cockpit.log.rows import BurnEnd, CheckResult
from tests.pseudo_terminal import needs_pty
from tests.scripts.planted import Planted

#: Travel of an invented burn, µm, ten readings a second.
TRAVELS_UM = [1000 + 7 * n for n in range(40)]
ROWS = list(enumerate(TRAVELS_UM))
FAULTS = ("clock set", "disk full", "garbage", "killed", "left", "unplugged")


@needs_pty
def test_a_round_of_each_fault_finds_nothing() -> None:
    command = [
        sys.executable,
        str(ROOT / "scripts/torture.py"),
        "--here",
        "--untimed",
        "--no-mount",
    ]
    options = ["--rounds", str(len(FAULTS)), "--workers", "1", "--seed", "3"]
    done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    told = dict(re.findall(r"^  (\S.*?) {2,}(.*)$", done.stdout, re.MULTILINE))
    assert {fault: told[fault] for fault in FAULTS} == dict.fromkeys(FAULTS, "1 rounds")
    assert int(told["confirmations seen, and looked for"]) > 20
    assert int(told["readings sent"]) > 50
    assert int(re.findall(r"kept, each one sent +(\d+)", done.stdout)[0]) > 10
    assert told["findings"] == "0"


@pytest.mark.parametrize(
    ("picture", "kind"),
    [
        ("bench/holes", "bench"),
        ("stock/sizes", "stock"),
        ("stock/count", "stock"),
        ("learnt/figures", "learnt"),
        ("learnt/burns", "learnt"),
        ("correct/what", "correct"),
        ("hole-page/trace", "page"),
    ],
)
def test_the_operator_knows_where_a_slip_of_the_keys_has_led(picture: str, kind: str) -> None:
    """Else nothing is done there until the operator is at a loss, most of a round."""
    screen = ROOT / f"tests/screens/pictures/{picture}.80x24.mm.txt"
    assert read_screen(screen.read_text("utf-8")).kind == kind


# What is planted is found ------------------------------------------------------------------------


@pytest.fixture
def planted(tmp_path: Path) -> Iterator[Planted]:
    planted = Planted(tmp_path)
    yield planted
    planted.store.close()


def test_what_was_sent_and_kept_is_no_finding(planted: Planted) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept(ROWS[3:36])
    kept = planted.record.compare(planted.hole, [])
    assert (kept.readings, kept.in_burns, kept.wrong, kept.lost) == (33, 33, [], 0)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([*ROWS[:9], (9, 999), *ROWS[9:]], "a reading of 999 µm"),
        ([*ROWS[:9], ROWS[8], *ROWS[9:]], "was not sent then"),
        ([*ROWS[:9], (10, ROWS[10][1]), (10, ROWS[9][1]), *ROWS[11:]], "was not sent then"),
        ([*ROWS[:9], *ROWS[12:]], "3 readings were left out in the middle"),
    ],
    ids=["made up", "twice", "out of order", "left out"],
)
def test_a_reading_that_is_wrong_is_found(
    planted: Planted, rows: list[tuple[int, int]], words: str
) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept(rows)
    (wrong, *_) = planted.wrong()
    assert words in wrong


def test_a_reading_of_another_time_is_found(planted: Planted) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept(ROWS, every_s=1.0, stop_s=41.0)
    assert "was not sent then" in planted.wrong()[0]


def test_what_the_line_lost_is_no_finding(planted: Planted) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept([*ROWS[:9], *ROWS[12:]])
    assert not planted.wrong((planted.began_s + 0.9, planted.began_s + 1.1))


# A reader that dies ------------------------------------------------------------------------------

#: A minute of burning, ten readings a second.
MINUTE_UM = [1000 + 7 * n for n in range(600)]
MINUTE = list(enumerate(MINUTE_UM))


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (MINUTE[:100], "496 readings were left out at the end of a burn"),
        (MINUTE[100:], "94 readings were left out at the beginning of a burn"),
        ([], "590 readings were left out in all of a burn"),
    ],
    ids=["after 10 s", "for 10 s", "from the first"],
)
def test_a_reader_that_is_dead_is_found(
    planted: Planted, rows: list[tuple[int, int]], words: str
) -> None:
    planted.sent(MINUTE_UM)
    planted.kept(rows, stop_s=60.05)
    kept = planted.record.compare(planted.hole, [])
    assert kept.lost == int(words.split()[0])
    assert [words in wrong for wrong in kept.wrong] == [True]


def test_a_reader_that_is_dead_is_found_in_a_burn_of_one_travel(planted: Planted) -> None:
    planted.sent([1000] * 600)
    planted.kept([(n, 1000) for n in range(100)], stop_s=60.05)
    # Any of two places is possible for what was kept.
    assert "495 readings were left out at the end" in planted.wrong()[0]


def test_a_reader_that_has_hung_up_is_found(planted: Planted) -> None:
    # Nobody listens, so nothing counts as sent.
    planted.sent(MINUTE_UM[:100])
    planted.kept(MINUTE[:100], stop_s=60.05)
    assert planted.wrong() == ["nothing was read for 49.59 s of a burn on a sound line"]


@pytest.mark.parametrize("how", [None, BurnEnd.CUT_SHORT], ids=["as it was left", "taken up"])
def test_what_a_kill_takes_is_the_last_moment(planted: Planted, how: BurnEnd | None) -> None:
    planted.sent(MINUTE_UM)
    planted.kept(MINUTE[:500], stop_s=None if how is None else 49.96, how=how or BurnEnd.OPERATOR)
    planted.record.killed(planted.began_s + 50.3)
    assert planted.record.compare(planted.hole, []).wrong == []


@pytest.mark.parametrize("how", [None, BurnEnd.CUT_SHORT], ids=["as it was left", "taken up"])
def test_a_reader_that_died_before_a_kill_is_found(planted: Planted, how: BurnEnd | None) -> None:
    planted.sent(MINUTE_UM)
    planted.kept(MINUTE[:100], stop_s=None if how is None else 9.96, how=how or BurnEnd.OPERATOR)
    planted.record.killed(planted.began_s + 50.05)
    assert "386 readings were left out at the end" in planted.wrong()[0]


def test_a_burn_that_the_cockpit_was_left_in_ends_where_the_log_says(planted: Planted) -> None:
    planted.sent(MINUTE_UM)
    planted.kept(MINUTE[:300], stop_s=29.96, how=BurnEnd.CUT_SHORT)
    planted.record.left(planted.began_s + 30.1)
    planted.record.killed(planted.began_s + 50.0)
    assert planted.record.compare(planted.hole, []).wrong == []


def test_what_a_full_disk_keeps_from_the_log_is_lost_at_a_kill_only(planted: Planted) -> None:
    planted.sent(MINUTE_UM)
    planted.kept(MINUTE[:100], stop_s=None)
    planted.record.full_since_s = planted.began_s + 10.0
    planted.record.killed(planted.began_s + 20.0)
    assert planted.wrong() == []


# What a fault explains ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("back", "are_found"),
    [(130, 0), (134, 0), (137, 1), (310, 1)],
    ids=["2 s late", "2.4 s late", "2.7 s late", "20 s late"],
)
def test_a_fault_of_a_second_explains_no_longer_gap(
    planted: Planted, back: int, are_found: int
) -> None:
    planted.sent(MINUTE_UM)
    planted.kept([*MINUTE[:100], *MINUTE[back:]], stop_s=60.05)
    wrong = planted.wrong((planted.began_s + 10.0, planted.began_s + 11.0))
    assert len(wrong) == are_found
    assert all("left out in the middle" in one for one in wrong)


def test_a_gap_that_begins_long_before_a_fault_is_found(planted: Planted) -> None:
    planted.sent(MINUTE_UM)
    planted.kept([*MINUTE[:70], *MINUTE[110:]], stop_s=60.05)
    assert planted.wrong((planted.began_s + 10.0, planted.began_s + 11.0))


def test_a_head_that_stood_still_before_a_burn_lengthens_no_gap(planted: Planted) -> None:
    # Garbage from the burn's second reading on; any of the first 20 could be the one that was kept.
    places = [*range(-20, 1), *range(27, 60)]
    planted.sent([1000] * 21 + MINUTE_UM[27:60], places)
    planted.kept([(0, 1000), *MINUTE[28:60]], stop_s=6.05)
    kept = planted.record.compare(planted.hole, [(planted.began_s + 0.05, planted.began_s + 2.65)])
    assert (kept.wrong, kept.lost) == ([], 1)


def test_silence_is_explained_by_a_plug_that_is_out_as_long(planted: Planted) -> None:
    out = range(100, 300)
    planted.sent([um for n, um in MINUTE if n not in out], [n for n, _ in MINUTE if n not in out])
    planted.kept([row for row in MINUTE if row[0] not in out], stop_s=60.05)
    assert planted.wrong((planted.began_s + 10.0, planted.began_s + 29.5)) == []
    assert planted.wrong((planted.began_s + 10.0, planted.began_s + 20.0)) == [
        "nothing was read for 7.56 s of a burn on a sound line"
    ]


class FaultyShop:
    """What is asked of a shop after a fault: the burn's screen is up, a second goes by in none."""

    def __init__(self, planted: Planted, *, keeps_readings: bool = True) -> None:
        self.runs = self.judge_times = True
        self.faults: list[tuple[float, float]] = []
        self.tally = Tally()
        self.found: list[str] = []
        self.find = self.found.append
        self._planted = planted
        self._keeps_readings = keeps_readings

    def wait(self, lasts_s: float) -> None:
        """Nothing changes here."""

    def keeps_readings(self) -> bool:
        return self._keeps_readings

    def read_again_s(self, back_s: float) -> float | None:
        return self._planted.record.read_again_s(self._planted.hole, back_s)

    def sent_since(self, wall_s: float) -> list[Sent]:
        return self._planted.truth.between(wall_s, float("inf"))

    def comes_back(self) -> list[str]:
        """What is found after a plug was out from 10 s to 11 s."""
        began_s = self._planted.began_s
        torture_faults._comes_back(cast(Shop, self), began_s + 10.0, began_s + 11.0)
        return self.found


def test_a_late_return_is_found_though_somebody_listens(planted: Planted) -> None:
    planted.sent(MINUTE_UM)
    planted.kept([*MINUTE[:100], *MINUTE[160:]], stop_s=60.05)
    assert FaultyShop(planted).comes_back() == ["the gauge was read again only after 5.06 s"]


def test_a_return_is_told_by_the_log(planted: Planted) -> None:
    planted.sent(MINUTE_UM)
    # The first one kept after the plug is in was sent before it was out.
    planted.kept([*MINUTE[:99], (111, MINUTE_UM[99]), *MINUTE[120:]], stop_s=60.05)
    shop = FaultyShop(planted)
    assert shop.comes_back() == []
    assert [round(after_s, 2) for after_s in shop.tally.back_s] == [1.06]
    assert shop.faults == [(planted.began_s + 10.0, planted.began_s + 11.0)]


def test_no_return_is_found_though_somebody_listens(
    planted: Planted, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(torture_faults, "GAUGE_PATIENCE_S", 0.2)
    planted.sent(MINUTE_UM)
    planted.kept(MINUTE[:100], stop_s=60.05)
    assert FaultyShop(planted).comes_back() == ["the gauge is not read any more"]


def test_where_nothing_is_kept_no_return_is_timed(planted: Planted) -> None:
    planted.sent(MINUTE_UM)
    planted.kept(MINUTE[:100], stop_s=60.05)
    shop = FaultyShop(planted, keeps_readings=False)
    assert (shop.comes_back(), shop.tally.back_s) == ([], [])


def test_a_date_that_was_put_off_is_reckoned_with(tmp_path: Path) -> None:
    planted = Planted(tmp_path)
    planted.sent(TRAVELS_UM)
    planted.kept(ROWS)
    # As if the date had been right only for an hour, long ago, and the burn then were this one.
    planted.record.steps = [(planted.began_s - 9000.0, 0.0), (planted.began_s - 5400.0, 4000.0)]
    assert "was not sent then" in planted.wrong()[0]
    planted.store.close()


def screen(title: str, item: str, offer: str = "confirm") -> str:
    rows = [
        f" Elderbeck   foot 2   M10 tap   {title}",
        "",
        f"   ██░░  1 of 14   {item}",
        *[""] * 19,
    ]
    return "\n".join([*rows, f"  SPACE  {offer}", " ? keys"])


def test_what_is_confirmed_and_missing_is_found(planted: Planted) -> None:
    witness = Witness()
    witness.saw(read_screen(screen("set-up 1 of 14", "Ground")), [])
    witness.saw(read_screen(screen("set-up 2 of 14", "Clamped and square")), ["space"])
    assert planted.record.missing(witness.claims) == [(("check", "foot 2", "Ground"), 1, 0)]
    planted.store.add_check(planted.shift, planted.hole, "ground", "Ground", CheckResult.CONFIRMED)
    assert planted.record.missing(witness.claims) == []


def test_what_waits_for_the_disk_is_claimed_once_it_can_be_written() -> None:
    witness = Witness()
    witness.is_writable = False
    arc = "\n".join([" E   foot 2   M10 tap   burn", " {}", " 0:0{}", *[""] * 19])
    witness.saw(read_screen(arc.format("ARC OFF", 0)), [])
    witness.saw(read_screen(arc.format("ARC ON", 1)), ["space"])
    assert ("arc on", "foot 2", "") not in witness.claims
    witness.written()
    assert witness.claims["arc on", "foot 2", ""] == 1
