"""The gauge simulator as a process of its own, heard over a real line."""

from __future__ import annotations

import csv
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from itertools import pairwise
from pathlib import Path

import pytest
from gauge_forms import FORMS

from cockpit.gauges import GaugeStatus
from cockpit.profiles import load_gauge
from tests.gauges.lines import Collected, listening, peer_may_reset, status_of, until
from tests.pseudo_terminal import needs_pty

SCRIPT = Path(__file__).parents[2] / "scripts" / "gauge_simulator.py"
DECIMAL = load_gauge("serial-decimal")
POLLED = load_gauge("serial-polled")


class Simulator:
    """A running simulator."""

    def __init__(self, *options: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(SCRIPT), *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        word, _, self.port = self.process.stdout.readline().strip().partition(" ")
        assert word == "port:", self.process.communicate()

    def say(self, command: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{command}\n")
        self.process.stdin.flush()

    def end(self) -> tuple[int, str]:
        """Wait for its end; return its exit code and what it told the person."""
        try:
            _, told = self.process.communicate(timeout=20.0)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.communicate()
            raise
        return self.process.returncode, told


Start = Callable[..., Simulator]


@pytest.fixture
def start() -> Iterator[Start]:
    running: list[Simulator] = []

    def begin(*options: str) -> Simulator:
        running.append(Simulator(*options))
        return running[-1]

    yield begin
    for simulator in running:
        if simulator.process.poll() is None:
            simulator.process.kill()
        simulator.process.communicate()


def truth_of(path: Path) -> list[dict[str, float]]:
    with path.open(encoding="utf-8") as file:
        return [{name: float(cell) for name, cell in row.items()} for row in csv.DictReader(file)]


def steady_mm(got: Collected) -> float:
    """Wait until the head stands still, and say where."""
    until(lambda: len(got.travels_mm) > 5)

    def still() -> bool:
        last = got.travels_mm[-5:]
        return max(last) - min(last) < 0.015

    until(still)
    return got.travels_mm[-1]


@needs_pty
def test_every_reading_it_sends_is_read_and_it_is_steered_by_lines(
    start: Start, tmp_path: Path
) -> None:
    truth_file = tmp_path / "truth.csv"
    simulator = start("--rate-hz", "40", "--speed", "20", "--truth", str(truth_file))
    assert simulator.port.startswith("/dev/")
    with listening(DECIMAL, simulator.port) as (gauge, got):
        simulator.say("touch")
        until(lambda: 0.0 in got.travels_mm)
        simulator.say("hole")
        until(lambda: got.travels_mm[-1] < -1.5)
        simulator.say("burn")
        until(lambda: got.travels_mm[-1] > 5.0)
        simulator.say("lift")
        until(lambda: got.travels_mm[-1] < 3.0)
        simulator.say("touch")
        worn_mm = steady_mm(got)
        assert status_of(gauge) is GaugeStatus.LIVE
        simulator.say("quit")
        code, told = simulator.end()
        read_mm = got.travels_mm
    assert code == 0
    assert "nothing burns" in told
    truth = truth_of(truth_file)
    sent_mm = [row["travel_mm"] for row in truth]
    # All but the first few, which came before the port was set up, and the one it was opened in.
    assert len(read_mm) >= 0.95 * len(sent_mm)
    assert read_mm == sent_mm[-len(read_mm) :]
    assert got.rejects == []
    depth_mm = truth[-1]["depth_mm"]
    assert worn_mm == pytest.approx((depth_mm - 3.0) / 3, rel=0.25)
    assert {row["arc_on"] for row in truth} == {0.0, 1.0}
    times_s = [row["t_s"] for row in truth]
    assert times_s == sorted(times_s)
    assert len(truth) == pytest.approx(40 * (times_s[-1] - times_s[0]), rel=0.1)
    assert abs(truth[-1]["wall_time_s"] - time.time()) < 20.0


@needs_pty
def test_a_late_listener_gets_no_old_readings(start: Start, tmp_path: Path) -> None:
    truth_file = tmp_path / "truth.csv"
    simulator = start("--rate-hz", "50", "--truth", str(truth_file))
    time.sleep(1.0)
    assert truth_of(truth_file) == []
    with listening(DECIMAL, simulator.port) as (_, got):
        until(lambda: bool(got.samples))
        assert truth_of(truth_file)[0]["t_s"] > 0.9
    sent = len(truth_of(truth_file))
    time.sleep(0.5)
    assert len(truth_of(truth_file)) <= sent + 2


def test_it_talks_over_the_network_in_inches(start: Start) -> None:
    simulator = start("--tcp", "0", "--inch", "--rate-hz", "40")
    assert simulator.port.startswith("socket://127.0.0.1:")
    with listening(DECIMAL, simulator.port) as (_, got):
        until(lambda: len(got.samples) > 10)
        last = got.samples[-1]
        assert last.raw.endswith(" in")
        assert last.travel_mm == pytest.approx(-2.0, abs=0.02)
        assert last.travel_mm / 0.0127 == pytest.approx(round(last.travel_mm / 0.0127), abs=1e-6)


def test_a_second_listener_takes_over(start: Start) -> None:
    simulator = start("--tcp", "0", "--rate-hz", "40")
    with listening(DECIMAL, simulator.port) as (first, got):
        until(lambda: len(got.samples) > 2)
        with listening(DECIMAL, simulator.port) as (_, taken):
            until(lambda: len(taken.samples) > 2)
            until(lambda: status_of(first) is not GaugeStatus.LIVE)
            before = len(taken.samples)
            until(lambda: len(taken.samples) > before)
            assert status_of(first) is not GaugeStatus.LIVE


@needs_pty
def test_polled_it_answers_when_asked_and_not_otherwise(start: Start, tmp_path: Path) -> None:
    truth_file = tmp_path / "truth.csv"
    simulator = start("--form", "polled", "--truth", str(truth_file))
    with listening(DECIMAL, simulator.port) as (_, got):
        time.sleep(0.5)
        assert got.all == []
        assert got.samples == []
    with listening(POLLED, simulator.port) as (gauge, got):
        time.sleep(2.0)
        assert 14 <= len(got.samples) <= 21
        assert status_of(gauge) is GaugeStatus.LIVE
        simulator.say("quit")
        simulator.end()
        assert got.travels_mm == [row["travel_mm"] for row in truth_of(truth_file)]


@peer_may_reset
@pytest.mark.parametrize("line", [pytest.param("rtu", marks=needs_pty), "tcp"])
def test_as_a_modbus_device_every_reading_it_serves_is_read(
    start: Start, tmp_path: Path, line: str
) -> None:
    truth_file = tmp_path / "truth.csv"
    network = ("--tcp", "0") if line == "tcp" else ()
    simulator = start("--modbus", *network, "--speed", "20", "--truth", str(truth_file))
    with listening(load_gauge(f"modbus-{line}"), simulator.port) as (gauge, got):
        simulator.say("burn")
        until(lambda: got.travels_mm[-1:] > [1.0])
        simulator.say("silent 1.5")
        until(lambda: status_of(gauge) is GaugeStatus.WAITING)
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        assert "Device 1 is silent" in {reject.why[:18] for reject in got.rejects}
        simulator.say("garbage 1.5")
        until(lambda: any("No whole answer" in reject.why for reject in got.rejects))
        until(lambda: status_of(gauge) is GaugeStatus.WAITING)
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        simulator.say("touch")
        steady_mm(got)
        simulator.say("quit")
        code, told = simulator.end()
        read_mm = got.travels_mm
    assert code == 0
    assert "Traceback" not in told
    sent_mm = [row["travel_mm"] for row in truth_of(truth_file)]
    # The last may be on its way when the simulator ends.
    assert read_mm == pytest.approx(sent_mm[: len(read_mm)])
    assert len(sent_mm) - len(read_mm) in (0, 1)
    assert min(read_mm) < 0.0 < max(read_mm)


@needs_pty
@pytest.mark.parametrize("form", FORMS)
def test_each_form_is_read_by_the_profile_of_its_name(
    start: Start, tmp_path: Path, form: str
) -> None:
    truth_file = tmp_path / "truth.csv"
    options = ("--form", form, "--rate-hz", "40", "--speed", "20")
    simulator = start(*options, "--truth", str(truth_file))
    with listening(load_gauge(f"serial-{form}"), simulator.port) as (gauge, got):
        until(lambda: len(got.travels_mm) > 3)
        simulator.say("burn")
        until(lambda: got.travels_mm[-1] > 3.0, timeout_s=15.0)
        assert status_of(gauge) is GaugeStatus.LIVE
        simulator.say("quit")
        simulator.end()
        read_mm = got.travels_mm
    sent_mm = [row["travel_mm"] for row in truth_of(truth_file)]
    assert min(read_mm) < -1.9
    assert read_mm == pytest.approx(sent_mm[-len(read_mm) :], abs=1e-9)
    assert got.rejects == []


@needs_pty
@pytest.mark.parametrize("form", FORMS)
def test_a_head_out_of_range_is_refused_and_never_a_reading(start: Start, form: str) -> None:
    simulator = start("--form", form, "--rate-hz", "40")
    with listening(load_gauge(f"serial-{form}"), simulator.port) as (_, got):
        until(lambda: bool(got.travels_mm))
        simulator.say("overflow 0.5")
        until(lambda: len(got.rejects) > 3)
        before = len(got.travels_mm)
        until(lambda: len(got.travels_mm) > before)
        assert all(FORMS[form].overflow in reject.raw for reject in got.rejects)
        assert set(got.travels_mm) <= {-2.01, -2.0, -1.99}


@needs_pty
def test_a_reading_that_the_gauge_doubts_is_refused_by_its_letter(start: Start) -> None:
    simulator = start("--form", "status", "--rate-hz", "40")
    with listening(load_gauge("serial-status"), simulator.port) as (_, got):
        until(lambda: bool(got.travels_mm))
        simulator.say("doubt 0.5")
        until(lambda: len(got.rejects) > 3)
        assert all('status "E"' in reject.why for reject in got.rejects)
        assert set(got.travels_mm) <= {-2.01, -2.0, -1.99}


@needs_pty
@pytest.mark.parametrize("form", ["units", "decimal"])
def test_a_reading_is_right_on_both_sides_of_a_change_of_unit(
    start: Start, tmp_path: Path, form: str
) -> None:
    truth_file = tmp_path / "truth.csv"
    options = ("--form", form, "--rate-hz", "40", "--speed", "10", "--truth", str(truth_file))
    simulator = start(*options)

    def shows(unit: str) -> bool:
        return len(got.samples) > 5 and all(one.raw.endswith(unit) for one in got.samples[-5:])

    with listening(load_gauge(f"serial-{form}"), simulator.port) as (_, got):
        simulator.say("burn")
        for unit in (" mm", " in", " mm", " in"):
            until(partial(shows, unit))
            simulator.say("unit")
        simulator.say("quit")
        simulator.end()
        read_mm = got.travels_mm
    sent_mm = [row["travel_mm"] for row in truth_of(truth_file)]
    # In inches it shows four decimals, half a step of which is 0.00127 mm.
    assert read_mm == pytest.approx(sent_mm[-len(read_mm) :], abs=0.00128)
    assert got.rejects == []


@needs_pty
def test_it_falls_silent_and_sends_garbage_when_told(start: Start) -> None:
    simulator = start("--rate-hz", "40")
    with listening(DECIMAL, simulator.port) as (gauge, got):
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        simulator.say("silent 1.5")
        until(lambda: status_of(gauge) is GaugeStatus.WAITING)
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        times_s = [sample.t_s for sample in got.samples]
        gaps_s = [after - before for before, after in pairwise(times_s)]
        assert 1.4 < max(gaps_s) < 1.8
        assert got.rejects == []
        simulator.say("garbage 1.5")
        until(lambda: bool(got.rejects))
        until(lambda: status_of(gauge) is GaugeStatus.WAITING)
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        assert set(got.travels_mm) <= {-2.01, -2.0, -1.99}


@needs_pty
def test_a_stall_holds_until_the_arc_goes_off(start: Start) -> None:
    simulator = start("--rate-hz", "40", "--speed", "20", "--end", "60")
    with listening(DECIMAL, simulator.port) as (_, got):
        simulator.say("burn")
        until(lambda: got.travels_mm[-1:] > [4.0])
        simulator.say("stall")
        # A lift to clear is over in 4 readings, and while it burns 5 of them gain 0.15 mm.
        held_mm = steady_mm(got)
        simulator.say("lift")
        until(lambda: got.travels_mm[-1] < held_mm - 4.0)
        assert max(got.travels_mm) <= held_mm + 0.05
        simulator.say("burn")
        until(lambda: got.travels_mm[-1] > held_mm + 1.0)
        assert got.rejects == []


@needs_pty
def test_the_electrode_can_be_changed_and_the_head_moved_to_another_spot(
    start: Start, tmp_path: Path
) -> None:
    truth_file = tmp_path / "truth.csv"
    simulator = start("--rate-hz", "40", "--speed", "20", "--truth", str(truth_file))

    def last() -> dict[str, float]:
        return truth_of(truth_file)[-1]

    with listening(DECIMAL, simulator.port) as (_, got):
        simulator.say("burn")
        until(lambda: got.travels_mm[-1:] > [7.0])
        simulator.say("spot")
        until(lambda: last()["depth_mm"] == 3.0)
        assert last()["arc_on"] == 0.0
        # The wear of 4 mm and more of travel puts the tip that much lower than at the first spot.
        until(lambda: got.travels_mm[-1] < 0.0)
        assert steady_mm(got) == pytest.approx(-2.0 + 4.0 / 4, abs=0.5)
        simulator.say("burn")
        until(lambda: last()["depth_mm"] > 4.0)
        simulator.say("electrode")
        simulator.say("touch")
        until(lambda: 0.0 in got.travels_mm[-3:])
        assert steady_mm(got) == pytest.approx(0.0, abs=0.011)
        assert last()["arc_on"] == 0.0
        assert last()["depth_mm"] > 4.0


@needs_pty
def test_a_spike_is_one_reading_that_is_off_by_what_was_asked(start: Start) -> None:
    simulator = start("--rate-hz", "40")
    with listening(DECIMAL, simulator.port) as (_, got):
        until(lambda: len(got.travels_mm) > 5)
        simulator.say("spike 2.5")
        until(lambda: max(got.travels_mm) > 0.0)
        simulator.say("spike -1")
        until(lambda: min(got.travels_mm) < -2.5)
        before = len(got.travels_mm)
        until(lambda: len(got.travels_mm) > before + 5)
        odd_mm = [mm for mm in got.travels_mm if abs(mm + 2.0) > 0.02]
        assert odd_mm == pytest.approx([0.5, -3.0], abs=0.02)


@needs_pty
def test_spikes_and_drop_outs_can_be_left_to_chance(start: Start) -> None:
    spikes = ("--spike-every", "0.3", "--spike", "2")
    drop_outs = ("--dropout-every", "0.5", "--dropout-for", "0.5")
    # However fast the burn runs, these are seconds of the gauge's own.
    simulator = start("--rate-hz", "50", "--speed", "7", *spikes, *drop_outs)
    with listening(DECIMAL, simulator.port) as (_, got):

        def gaps_s() -> list[float]:
            times_s = [sample.t_s for sample in got.samples]
            return [after - before for before, after in pairwise(times_s)]

        def odd_mm() -> list[float]:
            return [abs(mm + 2.0) for mm in got.travels_mm if abs(mm + 2.0) > 0.02]

        until(lambda: sum(gap > 0.4 for gap in gaps_s()) >= 3, timeout_s=20.0)
        until(lambda: len(odd_mm()) >= 3, timeout_s=20.0)
        assert all(0.97 < mm < 2.03 for mm in odd_mm())
        assert len(odd_mm()) < len(got.travels_mm) / 3


def speeds_mm_s(truth: list[dict[str, float]], above_mm: float, below_mm: float) -> list[float]:
    """How fast the depth grew from row to row, between two depths and without a lift; mm/s.

    Rows are written to a thousandth of a second, so those that lie closer than six say nothing.
    """
    inside = [row for row in truth if above_mm < row["depth_mm"] < below_mm]
    return [
        (after["depth_mm"] - before["depth_mm"]) / (after["t_s"] - before["t_s"])
        for before, after in pairwise(inside)
        if after["depth_mm"] > before["depth_mm"] and after["t_s"] - before["t_s"] > 0.0055
    ]


def test_the_hole_can_be_made_a_hard_one(start: Start, tmp_path: Path) -> None:
    truth_file = tmp_path / "truth.csv"
    soft = ("--soft-every", "1", "--soft-thick", "0.6", "--soft-times", "8")
    fall = ("--fall", "2", "--fall-speed", "0.3")
    stall = ("--stall-at", "4", "--stall-for", "15")
    options = ("--tcp", "0", "--auto", "--speed", "20", "--rate-hz", "100", "--end", "7")
    simulator = start(*options, *soft, *fall, *stall, "--truth", str(truth_file))
    with listening(DECIMAL, simulator.port):
        code, _ = simulator.end()
    assert code == 0
    truth = truth_of(truth_file)
    assert truth[-1]["depth_mm"] == pytest.approx(9.0)
    falling = speeds_mm_s(truth, 7.0, 9.0)
    assert len(falling) > 10
    assert sorted(falling)[len(falling) // 2] == pytest.approx(20 * 0.3, rel=0.1)
    burning = sorted(speeds_mm_s(truth, 3.0, 7.0))
    assert burning[-len(burning) // 10] > 2.5 * burning[len(burning) // 4]
    stalled = [row["t_s"] for row in truth if row["depth_mm"] == 4.0]
    # 15 s of arc at 20 times the pace, and maybe a lift.
    assert 0.4 < stalled[-1] - stalled[0] < 1.0


@needs_pty
def test_silence_and_garbage_can_be_set_beforehand(start: Start) -> None:
    options = ("--silent-at", "1", "--silent-for", "1", "--garbage-at", "2.5", "--garbage-for", "1")
    simulator = start("--rate-hz", "40", *options)
    with listening(DECIMAL, simulator.port) as (_, got):
        until(lambda: bool(got.rejects))
        times_s = [sample.t_s for sample in got.samples]
        gaps_s = [after - before for before, after in pairwise(times_s)]
        assert max(gaps_s) == pytest.approx(1.0, abs=0.2)


def test_by_itself_it_goes_through_a_whole_cycle_and_ends(start: Start, tmp_path: Path) -> None:
    truth_file = tmp_path / "truth.csv"
    options = ("--tcp", "0", "--auto", "--speed", "60", "--rate-hz", "100", "--end", "8")
    simulator = start(*options, "--truth", str(truth_file))
    assert simulator.process.stdin is not None
    simulator.process.stdin.close()
    simulator.process.stdin = None
    with listening(DECIMAL, simulator.port) as (gauge, got):
        code, _ = simulator.end()
        assert code == 0
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        assert got.samples
    truth = truth_of(truth_file)
    assert truth[-1]["depth_mm"] == pytest.approx(8.8)
    arc = [int(row["arc_on"]) for row in truth]
    assert arc[-1] == 0
    assert sum(before != after for before, after in pairwise(arc)) == 2
    # It ends on the reference face, where the indicator shows the wear: a third of 5 mm.
    assert truth[-1]["travel_mm"] == pytest.approx(5.0 / 3, rel=0.25)


@needs_pty
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_it_keeps_its_link_and_takes_it_away_when_it_is_ended(
    start: Start, tmp_path: Path, how: signal.Signals
) -> None:
    link = tmp_path / "gauge"
    link.symlink_to("/nowhere")  # left by a run that was killed
    simulator = start("--link", str(link))
    with listening(DECIMAL, str(link)) as (_, got):
        until(lambda: bool(got.samples))
        simulator.process.send_signal(how)
        code, told = simulator.end()
    assert code == 0
    assert "Traceback" not in told
    assert not link.is_symlink()


@needs_pty
def test_the_cockpits_gauge_outlives_it(start: Start, tmp_path: Path) -> None:
    link = tmp_path / "gauge"
    first = start("--link", str(link), "--rate-hz", "40")
    with listening(DECIMAL, str(link)) as (gauge, _):
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        first.process.kill()
        first.process.wait()
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        start("--link", str(link), "--rate-hz", "40")
        assert until(lambda: status_of(gauge) is GaugeStatus.LIVE) < 2.0


@needs_pty
@pytest.mark.parametrize(
    ("profile", "over"),
    [("serial-decimal", "link"), ("serial-decimal", "tcp"), ("modbus-rtu", "link")],
)
def test_unplugged_it_comes_back_under_the_same_name_and_the_burn_went_on(
    start: Start, tmp_path: Path, profile: str, over: str
) -> None:
    link = tmp_path / "gauge"
    line = ("--link", str(link)) if over == "link" else ("--tcp", "0")
    form = ("--modbus",) if profile == "modbus-rtu" else ("--rate-hz", "40")
    simulator = start(*line, *form, "--feed", "60")
    port = str(link) if over == "link" else simulator.port
    with listening(load_gauge(profile), port) as (gauge, got):
        until(lambda: bool(got.samples))
        simulator.say("burn")
        simulator.say("unplug 2.5")
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        before_mm = got.travels_mm[-1]
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        assert got.travels_mm[-1] > before_mm + 1.0
    simulator.say("quit")
    assert simulator.end()[0] == 0


def test_what_it_does_not_understand_it_says_and_goes_on(start: Start) -> None:
    simulator = start("--tcp", "0")
    for command in ("dance", "silent often", "spike nan", "stall 3", "doubt 2", "", "quit"):
        simulator.say(command)
    code, told = simulator.end()
    assert code == 0
    assert "There is no command 'dance'; use burn, lift" in told
    assert "often" in told
    assert "A reading can't be off by nan mm; use burn" in told
    assert "There is no command 'stall 3'" in told
    assert "The form of serial-decimal can't say that; use burn" in told
    assert "Traceback" not in told


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        (("--end", "2"), 2, "must end below its break"),
        (("--rate-hz", "0"), 2, "more than 0"),
        (("--soft-every", "1", "--soft-thick", "1"), 2, "overlap"),
        (("--form", "counts", "--inch"), 2, "can't say that it is in inches"),
        (("--form", "morse"), 2, "invalid choice: 'morse'"),
        (("--tcp", "70000"), 1, "can't begin"),
        (("--tcp", "70000", "--modbus"), 1, "can't begin"),
        (("--tcp", "0", "--truth", "/no/such/folder/truth.csv"), 1, "can't begin"),
    ],
)
def test_what_can_not_be_is_one_sentence(options: tuple[str, ...], code: int, words: str) -> None:
    ended = subprocess.run(
        [sys.executable, str(SCRIPT), *options],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=20.0,
        check=False,
    )
    assert ended.returncode == code
    assert words in ended.stderr
    assert "Traceback" not in ended.stderr
    assert ended.stdout == ""
