"""The guide to a gauge, with real lines at its ports."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from cockpit import locations
from cockpit.app import Guide, _guided
from cockpit.flow.floor import ShopFloor
from cockpit.flow.gauge_choice import GaugeChoice, remember, remembered
from cockpit.flow.steps import Step
from cockpit.gauges import GaugeStatus, SerialGauge, TypedGauge, ports
from cockpit.gauges.ports import PortInfo
from cockpit.log import questions
from cockpit.widgets.block_figures import BlockFigures
from tests.gauges.lines import PtyCable
from tests.pseudo_terminal import needs_pty
from tests.screens.hands import Hands, cockpit_on
from tests.screens.test_sizes import at_every_size

PATIENCE_S = 20.0


@pytest.fixture(autouse=True)
def dev(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The system lists no pseudo-terminal, so here a folder of them is what it lists."""
    folder = tmp_path / "dev"
    folder.mkdir()

    def listed() -> list[PortInfo]:
        return [PortInfo(str(path), "") for path in sorted(folder.iterdir())]

    monkeypatch.setattr(ports, "list_ports", listed)
    return folder


class Gauge:
    """Sends by itself, twenty times a second, whatever it is told to; or answers when asked."""

    def __init__(self, path: Path, *, polled: bool = False) -> None:
        self.line = b"+2.00 mm\r\n"
        self._cable = PtyCable(path)
        self._polled = polled
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._send)

    def _send(self) -> None:
        while not self._over.wait(0.05):
            if not self._polled or b"?" in self._cable.heard(0.05):
                self._cable.send(self.line)

    def plug(self) -> None:
        self._cable.plug()
        self._thread.start()

    def unplug(self) -> None:
        self._over.set()
        self._thread.join()
        self._cable.unplug()


@contextmanager
def gauge_at(path: Path, *, polled: bool = False) -> Iterator[Gauge]:
    gauge = Gauge(path, polled=polled)
    gauge.plug()
    try:
        yield gauge
    finally:
        gauge.unplug()


async def wait(hands: Hands, done: Callable[[], bool]) -> None:
    """Let the screen look until it is done."""
    for _ in range(int(PATIENCE_S / 0.05)):
        await hands.looks()
        if done():
            return
        await asyncio.sleep(0.05)
    raise AssertionError(hands.shown())


async def sees(hands: Hands, *words: str) -> None:
    await wait(hands, lambda: all(word in hands.shown() for word in words))


async def it_moves(hands: Hands, indicator: Gauge) -> None:
    """It is heard, the head moves, and so it is chosen."""
    await wait(hands, lambda: "2.00 mm" in hands.part("list"))
    indicator.line = b"+4.00 mm\r\n"
    await wait(hands, lambda: row(hands, "indicator").startswith("►"))


def row(hands: Hands, word: str) -> str:
    """The line of the list with this word in it; empty while there is none."""
    return next((line for line in hands.part("list").splitlines() if word in line), "")


async def test_one_press_goes_on_with_typing_and_that_is_remembered(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, gauge="typed", stocked=False) as hands:
        await hands.press("ctrl+g")
        assert hands.screen_name == "GaugeScreen"
        assert row(hands, "typed ").startswith("►")
        assert "go on, with readings typed by hand" in hands.big_key_line()
        assert "Plug the indicator in" in hands.part("asks")
        await hands.big()
        assert hands.screen_name == "ShiftScreen"
        assert isinstance(hands.floor.gauge, TypedGauge)
        assert hands.floor.gauge.status is GaugeStatus.WAITING
    assert remembered(tmp_path) == GaugeChoice(profile="typed")


@needs_pty
async def test_the_gauge_that_moves_is_chosen_by_itself_and_taken_with_one_press(
    tmp_path: Path, dev: Path
) -> None:
    async with cockpit_on(tmp_path, gauge="typed", stocked=False) as hands:
        await hands.press("ctrl+g")
        with gauge_at(dev / "other"), gauge_at(dev / "indicator") as indicator:
            await wait(hands, lambda: hands.part("list").count("serial-units") == 2)
            assert "Move the head" in hands.part("asks")
            assert row(hands, "typed ").startswith("►"), "nothing has moved yet"
            indicator.line = b"+3.25 mm\r\n"
            await wait(hands, lambda: row(hands, "indicator").startswith("►"))
            assert row(hands, "indicator").endswith("3.25 mm  moves")
            assert row(hands, "dev/other").endswith("2.00 mm")
            assert hands.screen.query_one(BlockFigures).text == "3.25"
            assert "Does the indicator show the figure below?" in hands.part("asks")
            assert "It moved 1.25 mm down" in hands.part("heard")
            assert f"use serial-units on ...{str(dev / 'indicator')[-21:]}" in (
                hands.big_key_line()
            )
            await hands.press("u")
            assert "0.1280 in" in row(hands, "indicator")
            await hands.big()
            assert hands.screen_name == "ShiftScreen"
            assert isinstance(hands.floor.gauge, SerialGauge)
            gauge = hands.floor.gauge
            await wait(hands, lambda: gauge.status is GaugeStatus.LIVE)
            assert f"serial-units on {dev / 'indicator'}" in hands.part("facts")
    assert remembered(tmp_path) == GaugeChoice(profile="serial-units", port=str(dev / "indicator"))


@needs_pty
async def test_a_port_that_is_plugged_in_later_appears_and_goes_by_itself(
    tmp_path: Path, dev: Path
) -> None:
    async with cockpit_on(tmp_path, gauge="typed") as hands:
        await hands.press("g")
        assert "indicator" not in hands.part("list")
        with gauge_at(dev / "indicator"):
            await wait(hands, lambda: "2.00 mm" in hands.part("list"))
            await hands.press("down", "down")
            assert row(hands, "indicator").startswith("►")
            assert "not seen to move" in hands.big_key_line()
        await wait(hands, lambda: "indicator" not in hands.part("list"))
        await hands.looks()
        assert hands.big_key_line() == "", "what was chosen is not there to be taken"
        await hands.press("down")
        assert "typed by hand" in hands.big_key_line()


@needs_pty
async def test_what_nobody_understands_is_shown_as_it_is_and_not_taken(
    tmp_path: Path, dev: Path
) -> None:
    async with cockpit_on(tmp_path, gauge="typed") as hands:
        await hands.press("g")
        with gauge_at(dev / "odd") as odd:
            odd.line = b"[bold]\x1b[2J\r\n"
            await wait(hands, lambda: "not understood" in hands.part("list"))
            await hands.press("down", "down")
            await sees(hands, r"[bold]\x1b[2J", "no profile understands it")
            assert hands.big_key_line() == ""
            await hands.big()
            assert hands.screen_name == "GaugeScreen"
            assert "No gauge profile understands this port" in hands.part("complaint")
    assert remembered(tmp_path) is None


@needs_pty
async def test_a_gauge_out_of_its_range_is_known_and_read_once_the_head_is_back(
    tmp_path: Path, dev: Path
) -> None:
    async with cockpit_on(tmp_path, gauge="typed") as hands:
        await hands.press("g")
        with gauge_at(dev / "far") as far:
            far.line = b"------\r\n"
            await wait(hands, lambda: row(hands, "far").endswith("known, not read"))
            await hands.press("down", "down")
            await sees(hands, "is an overflow mark", "move the head back")
            await hands.big()
            assert "This gauge is known" in hands.part("complaint")
            far.line = b"+2.00 mm\r\n"
            await wait(hands, lambda: "2.00 mm" in row(hands, "far"))
    assert remembered(tmp_path) is None


@needs_pty
async def test_silent_ports_are_asked_when_somebody_says_so(tmp_path: Path, dev: Path) -> None:
    async with cockpit_on(tmp_path, gauge="typed") as hands:
        await hands.press("g")
        with gauge_at(dev / "polled", polled=True):
            await wait(hands, lambda: row(hands, "polled").endswith("says nothing"))
            await hands.press("down", "down")
            assert "A asks it for a reading" in hands.part("heard")
            assert "A ask silent ports" in hands.keys_line()
            await hands.press("a")
            await wait(hands, lambda: "serial-polled" in row(hands, "polled"))
            assert "A ask silent ports" not in hands.keys_line()


@needs_pty
async def test_a_port_that_is_typed_is_listened_to_as_well(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, gauge="typed", stocked=False) as hands:
        await hands.press("ctrl+g")
        with gauge_at(tmp_path / "hidden"):
            await hands.press("p")
            assert hands.big_key_line() == "ENTER  once it is typed"
            await hands.press("backspace")
            assert hands.screen_name == "GaugeScreen"
            assert not hands.field("port").display
            await hands.press("p")
            field = hands.field("port")
            field.value = str(tmp_path / "hidden")
            await hands.press()
            assert "listen to it" in hands.big_key_line()
            await hands.press("enter")
            assert not field.display
            await wait(hands, lambda: "2.00 mm" in hands.part("list"))
            await hands.big()
            assert hands.floor.gauge_port == str(tmp_path / "hidden")


async def test_stepping_back_leaves_the_gauge_as_it_was_and_open(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, gauge="typed") as hands:
        gauge = hands.floor.gauge
        for key in ("backspace", "escape"):
            await hands.press("g")
            assert hands.screen_name == "GaugeScreen"
            await hands.press(key)
            assert hands.screen_name == "BenchScreen"
            assert hands.floor.gauge is gauge
            assert gauge.status is GaugeStatus.WAITING
    assert remembered(tmp_path) is None


@needs_pty
async def test_a_gauge_in_use_is_the_chosen_one_and_taking_it_again_changes_nothing(
    tmp_path: Path, dev: Path
) -> None:
    path = str(dev / "indicator")
    with gauge_at(dev / "indicator"):
        async with cockpit_on(tmp_path, gauge="typed") as hands:
            hands.floor.use_gauge("serial-decimal", path)
            gauge = hands.floor.gauge
            await hands.press("g")
            # As long as it is not heard no other is taken for it; it may be heard at once.
            assert not hands.big_key_line() or "use serial-decimal" in hands.big_key_line()
            await wait(hands, lambda: "use serial-decimal" in hands.big_key_line())
            await hands.big()
            assert hands.screen_name == "BenchScreen"
            assert hands.floor.gauge is gauge
            await wait(hands, lambda: gauge.status is GaugeStatus.LIVE)


@needs_pty
async def test_in_a_shift_the_other_gauge_is_seen_before_work_goes_on_and_the_log_names_it(
    tmp_path: Path, dev: Path
) -> None:
    async with cockpit_on(tmp_path, gauge="typed", at=Step.BURN) as hands:
        await hands.press("escape", "g")
        with gauge_at(dev / "indicator") as indicator:
            await it_moves(hands, indicator)
            assert "Zero it before the next arc of: flange 3." in hands.part("heard")
            await hands.big()
            # The daily check of the gauge confirms itself once it was read and the head moves.
            await wait(hands, lambda: "on the indicator now" in hands.shown())
            indicator.line = b"+5.00 mm\r\n"
            hands.clock.advance(2.0)
            await wait(hands, lambda: hands.screen_name == "BenchScreen")
        shift = hands.floor.shift
        assert shift is not None
        assert shift.gauge == "typed"
        last = questions.daily_checks(hands.floor.store.connection, shift.id)[-1]
        assert last.word == "serial-units: the gauge reads 5.00 mm"


async def test_a_choice_that_can_not_be_kept_holds_for_now_and_says_so(tmp_path: Path) -> None:
    (tmp_path / locations.GAUGE_CHOICE_NAME).mkdir()
    async with cockpit_on(tmp_path, gauge="typed", stocked=False) as hands:
        await hands.press("ctrl+g")
        await hands.big()
        assert hands.screen_name == "ShiftScreen"
        assert "has to be picked again at the next start" in hands.part("complaint")


@needs_pty
async def test_a_gauge_that_the_log_does_not_take_is_not_changed_and_still_heard(
    tmp_path: Path, dev: Path
) -> None:
    async with cockpit_on(tmp_path, gauge="typed", at=Step.BURN) as hands:
        await hands.press("escape", "g")
        with gauge_at(dev / "indicator") as indicator:
            await it_moves(hands, indicator)
            connection = hands.floor.store.connection
            connection.execute("PRAGMA query_only = ON")
            await hands.big()
            assert hands.screen_name == "GaugeScreen"
            assert "can't be written" in hands.part("complaint")
            assert hands.floor.gauge_name == "typed"
            connection.execute("PRAGMA query_only = OFF")
            await wait(hands, lambda: row(hands, "indicator").startswith("►"))
            await hands.big()
            assert hands.floor.gauge_name == "serial-units"
            shift = hands.floor.shift
            assert shift is not None
            rows = questions.daily_checks(connection, shift.id)
            assert any(not one.holds for one in rows), "the gauge is to be seen once more"


async def test_a_modbus_gauge_is_picked_by_name_on_the_port_that_was_typed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, gauge="typed", stocked=False) as hands:
        await hands.press("ctrl+g", "up", "down", "down", "down")
        for _ in range(9):
            if "modbus-tcp" in hands.big_key_line():
                break
            await hands.press("down")
        assert "P takes the port that it is on." in hands.part("heard")
        await hands.big()
        assert "names no port" in hands.part("complaint")
        await hands.press("p")
        await hands.type("tcp:")
        hands.field("port").value = "tcp://127.0.0.1:1"
        await hands.press("enter")
        await hands.looks()
        assert "use modbus-tcp on tcp://127.0.0.1:1" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "ShiftScreen"
        assert hands.floor.gauge_name == "modbus-tcp"
    choice = GaugeChoice(profile="modbus-tcp", port="tcp://127.0.0.1:1")
    assert remembered(tmp_path) == choice


@needs_pty
async def test_a_profile_that_can_not_be_used_is_said_as_long_as_it_can_not(
    tmp_path: Path, dev: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    own = locations.user_profiles() / "gauge"
    assert own.is_relative_to(tmp_path)
    own.mkdir(parents=True)
    # It hides the shipped one of its name, which would have understood.
    own.joinpath("serial-decimal.toml").write_text('source = "serial"\nbaudrat = 9600\n', "utf-8")
    async with cockpit_on(tmp_path, gauge="typed") as hands:
        await hands.press("g")
        with gauge_at(dev / "indicator") as indicator:
            indicator.line = b"2.00\r\n"
            await wait(hands, lambda: "not understood" in row(hands, "indicator"))
            said = "".join(hands.part("complaint").split())
            assert "Can'tbeused:" in said
            assert "serial-decimal.toml:baudrat" in said
            await hands.press("down", "down")
            assert row(hands, "indicator").startswith("►")
            assert "".join(hands.part("complaint").split()) == said
            await at_every_size(hands)


async def test_the_demo_has_one_gauge_and_offers_no_other(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        assert "G gauge" not in hands.keys_line()
        await hands.press("g")
        assert hands.screen_name == "BenchScreen"


@needs_pty
async def test_it_fits_every_size_with_more_ports_than_there_is_room_for(
    tmp_path: Path, dev: Path
) -> None:
    cables = [PtyCable(dev / f"port{number}") for number in range(9)]
    for cable in cables:
        cable.plug()
    async with cockpit_on(tmp_path, gauge="typed") as hands:
        await hands.press("g")
        with gauge_at(dev / "zz") as last:
            await wait(hands, lambda: "2.00 mm" in hands.part("list"))
            last.line = b"-2.75 mm\r\n"
            await wait(hands, lambda: row(hands, "zz").startswith("►"))
            await at_every_size(hands)
            await hands.looks()
            assert "serial-units and serial-decimal" in " ".join(hands.shown().split())
            assert any(line.lstrip().startswith("►") for line in hands.lines()), hands.shown()
    for cable in cables:
        cable.unplug()


# Which gauge a start begins with -----------------------------------------------------------------


def test_a_new_log_begins_with_the_guide_and_an_old_one_does_not(tmp_path: Path) -> None:
    with ShopFloor(tmp_path) as floor:
        assert _guided(floor, None) == Guide()
        floor.open_shift("MT")
        assert _guided(floor, None) is None
        assert _guided(floor, "loop://") == Guide("loop://")


def test_what_was_picked_is_used_unless_another_port_is_named(tmp_path: Path) -> None:
    remember(tmp_path, GaugeChoice(profile="serial-decimal", port="loop://"))
    for port in (None, "loop://"):
        with ShopFloor(tmp_path) as floor:
            assert _guided(floor, port) is None
            assert (floor.gauge_name, floor.gauge_port) == ("serial-decimal", "loop://")
    with ShopFloor(tmp_path) as floor:
        assert _guided(floor, "socket://127.0.0.1:1") == Guide("socket://127.0.0.1:1")
        assert floor.gauge_name == "typed"


@pytest.mark.parametrize(
    ("held", "words"),
    [
        ("{", "is not known; pick it again"),
        ('{"profile": "gone"}', "no gauge profile 'gone'"),
        ('{"profile": "serial-decimal"}', "names no port"),
    ],
)
def test_a_choice_that_is_of_no_use_is_said_once_and_the_guide_comes_again(
    tmp_path: Path, held: str, words: str
) -> None:
    (tmp_path / locations.GAUGE_CHOICE_NAME).write_text(held, encoding="utf-8")
    with ShopFloor(tmp_path) as floor:
        floor.open_shift("MT")
        guide = _guided(floor, None)
        assert guide is not None
        assert words in guide.said
        assert "\n" not in guide.said
        assert floor.gauge_name == "typed"
