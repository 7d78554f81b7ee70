"""Pretend to be a depth indicator on an invented burn, for trying the cockpit without a machine.

    .venv/bin/python scripts/gauge_simulator.py               a pseudo-terminal; steer it by typing
    .venv/bin/python scripts/gauge_simulator.py --tcp 4001    the same on a network port
    .venv/bin/python scripts/gauge_simulator.py --auto        a whole cycle by itself
    .venv/bin/python scripts/gauge_simulator.py --modbus      registers to ask for; with --tcp too

The first line it prints is the port to choose in the cockpit. Then it sends readings, at its own
pace, to whoever listens there; like a real indicator it keeps nothing for those who do not.

It is steered by lines on its standard input:

    burn            arc on: the head comes down and burns
    lift, stop      arc off: the head lifts clear
    touch, hole     bring the tip to the reference face; bring it back over the hole
    electrode       arc off: a new electrode, zeroed on the reference face; back over the hole
    spot            arc off: over another spot of the break, not burnt yet, with the same electrode
    stall           nothing advances any more until the arc goes off
    rest 21.8       the depth stop is set: the arc brings the head no further down than 21.8 mm
    spike 2.5       the next reading is off by 2.5 mm (up: -2.5)
    silent 3        send nothing for 3 s
    garbage 2       send noise for 2 s
    overflow 2      send the form's mark for a head out of range for 2 s
    doubt 2         send readings that the indicator does not vouch for, for 2 s (form status)
    unit            show inches instead of millimetres, or the other way round
    unplug 3        pull the plug for 3 s; with --link or --tcp it comes back under the same name
    quit            end

``--form`` says what its lines are like; scripts/gauge_forms.py shows them all. The profile that
reads a form is called after it: serial-decimal, serial-status and so on.

Options arrange more beforehand: soft layers, a stall, a slow and uneven fall, and a gauge whose
spikes and drop-outs come by chance.

With ``--speed X`` the burn runs X times faster than life (feed, lifts, stalls, falls, moves of the
head), while readings still come at ``--rate-hz`` of real time; all other times, those of spikes and
drop-outs too, are real seconds. Over 4 or so the head moves faster than a head can, and the cockpit
is right to call its readings jumps.

``--truth FILE`` writes a row for every reading sent: ``wall_time_s`` (seconds since 1970), ``t_s``
(since the start), ``travel_mm`` (as sent), ``arc_on`` (0 or 1), ``depth_mm`` (the true one).
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import importlib.util
import math
import os
import queue
import select
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from types import FrameType
from typing import Final, Protocol, TextIO

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from gauge_forms import FORMS, LINE_END

from cockpit.burn.simulate import Scene, SimulatedBurn
from cockpit.units import LengthUnit

try:
    import pty
    import tty
except ImportError:  # Windows has no pseudo-terminals; there it talks over the network.
    HAS_PTY = False
else:
    HAS_PTY = True

#: What asks for one reading in the polled form.
REQUEST: Final = b"?"
#: Steps of an indicator that shows inches: 0.0005 in, as mm.
INCH_STEP_MM: Final = 0.0127
#: The longest that a command waits to be obeyed, s.
NAP_S: Final = 0.02
#: The cycle of --auto: commands, and how many seconds of the burn's own time each is given. A burn
#: lasts until the tool is gone.
CYCLE: Final = (("touch", 4.0), ("hole", 4.0), ("burn", math.inf), ("lift", 3.0), ("touch", 8.0))
COMMANDS: Final = (
    "burn, lift (or stop), touch, hole, electrode, spot, stall, rest MM, spike MM, "
    "silent SECONDS, garbage SECONDS, overflow SECONDS, doubt SECONDS, unit, unplug SECONDS, quit"
)
#: The commands that put the arc off before they do anything else.
ARC_OFF: Final = (["lift"], ["stop"], ["touch"], ["electrode"], ["spot"])


class Outlet(Protocol):
    """Where readings go: a line with at most one listener."""

    @property
    def name(self) -> str:
        """The port that a listener opens."""

    def plug_in(self) -> None:
        """Let listeners come, again if need be."""

    def unplug(self) -> None:
        """Hang up, so that nobody can come before it is plugged in again."""

    def send(self, data: bytes) -> bool:
        """Send to whoever listens; say whether somebody got all of it."""

    def received(self) -> bytes:
        """What the listener sent, if anything."""

    def wait(self, timeout_s: float) -> None:
        """Sleep until the listener sends something, or the time is over."""


class PtyOutlet:
    """A pseudo-terminal. ``link``: a name of its own, that stays the same from run to run."""

    def __init__(self, link: Path | None) -> None:
        self._link = link
        self.plug_in()

    def plug_in(self) -> None:
        """Open a new one, and let the link lead to it."""
        self._master, slave = pty.openpty()
        tty.setraw(slave)
        self.name = os.ttyname(slave)
        # Held open by nobody but the listener, so that a listener's coming and going shows.
        os.close(slave)
        os.set_blocking(self._master, False)
        self._hang_up = select.poll()
        self._hang_up.register(self._master, 0)
        if self._link is not None:
            if self._link.is_symlink():
                self._link.unlink()
            self._link.symlink_to(self.name)

    def unplug(self) -> None:
        """Hang up and take the link away."""
        os.close(self._master)
        if self._link is not None:
            with contextlib.suppress(OSError):
                self._link.unlink()

    def _listened_to(self) -> bool:
        return not any(event & select.POLLHUP for _, event in self._hang_up.poll(0))

    def send(self, data: bytes) -> bool:
        """Send, if a listener has the line open and room in its buffer."""
        if not self._listened_to():
            return False
        try:
            return os.write(self._master, data) == len(data)
        except OSError:
            return False

    def received(self) -> bytes:
        """What the listener sent."""
        try:
            return os.read(self._master, 4096)
        except OSError:
            return b""

    def wait(self, timeout_s: float) -> None:
        """Sleep; a line that nobody has open is always ready, so there is nothing to wait on."""
        if self._listened_to():
            select.select([self._master], [], [], timeout_s)
        else:
            time.sleep(timeout_s)


class TcpOutlet:
    """A network port on this computer; the newest listener is the one that is served."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._listener: socket.socket | None = None
        self.plug_in()

    def plug_in(self) -> None:
        """Wait for listeners, always at the same port."""
        self._server = socket.create_server(("127.0.0.1", self._port))
        self._server.setblocking(False)
        self._port = self._server.getsockname()[1]
        self.name = f"socket://127.0.0.1:{self._port}"

    def unplug(self) -> None:
        """Hang up and turn everybody away."""
        self._dismiss()
        self._server.close()

    def send(self, data: bytes) -> bool:
        """Send, if there is a listener with room in its buffer."""
        self._welcome()
        if self._listener is None:
            return False
        try:
            return self._listener.send(data) == len(data)
        except BlockingIOError:
            return False
        except OSError:
            self._dismiss()
            return False

    def received(self) -> bytes:
        """What the listener sent."""
        self._welcome()
        if self._listener is None:
            return b""
        try:
            data = self._listener.recv(4096)
        except BlockingIOError:
            return b""
        except OSError:
            data = b""
        if not data:
            self._dismiss()
        return data

    def wait(self, timeout_s: float) -> None:
        """Sleep until a listener comes or says something."""
        select.select([self._listener or self._server], [], [], timeout_s)

    def _welcome(self) -> None:
        with contextlib.suppress(BlockingIOError):
            newcomer, _ = self._server.accept()
            newcomer.setblocking(False)
            self._dismiss()
            self._listener = newcomer

    def _dismiss(self) -> None:
        if self._listener is not None:
            self._listener.close()
            self._listener = None


class Spell:
    """A stretch of real time, seconds since the start, in which something odd happens."""

    def __init__(self, begin_s: float, lasts_s: float) -> None:
        self._begin_s, self._end_s = begin_s, begin_s + lasts_s

    def __contains__(self, t_s: float) -> bool:
        return self._begin_s <= t_s < self._end_s


class Simulator:
    """The invented burn, and the indicator that watches it. Times are seconds since the start."""

    def __init__(self, options: argparse.Namespace, outlet: Outlet, truth: TextIO | None) -> None:
        self.over = False
        self._outlet = outlet
        self._burn = SimulatedBurn(_scene(options), options.seed)
        self._form = FORMS["polled" if options.modbus else options.form]
        self._unit = LengthUnit.INCH if options.inch else LengthUnit.MM
        self._period_s: float = 1 / options.rate_hz
        self._speed: float = options.speed
        self._silent = Spell(options.silent_at, options.silent_for)
        self._garbage = Spell(options.garbage_at, options.garbage_for)
        self._overflow = self._doubt = Spell(math.inf, 0.0)
        self._unplugged = Spell(math.inf, 0.0)
        self._is_plugged = True
        self._noise = Random(f"garbage {options.seed}")
        self._arc_on = False
        self._began_s = time.monotonic()
        self._shown_s = 0.0
        self._due_s = 0.0
        self._truth = csv.writer(truth, lineterminator="\n") if truth else None
        self._flush = truth.flush if truth else lambda: None
        self._write_truth("wall_time_s", "t_s", "travel_mm", "arc_on", "depth_mm")

    # The burn ----------------------------------------------------------------------------------

    def obey(self, command: str) -> None:
        """Do what a line of input says. Raises ValueError, one sentence, for what is no command."""
        self._catch_up()
        words = command.split()
        if words and not (self._steer_burn(words) or self._steer_gauge(words)):
            raise ValueError(f"There is no command {command.strip()!r}")

    def _steer_burn(self, words: list[str]) -> bool:
        """Do what a command has to say to the burn; say whether it had."""
        if words in ARC_OFF:
            self._arc_on = False
            self._burn.advance(0.0, arc_on=False)
        match words:
            case ["burn"]:
                self._arc_on = True
            case ["lift" | "stop"]:
                pass
            case ["touch"]:
                self._burn.to_reference()
            case ["hole"]:
                self._burn.to_hole()
            case ["electrode"]:
                self._burn.change_electrode()
            case ["spot"]:
                self._burn.next_spot()
            case ["stall"]:
                self._burn.stall()
            case ["rest", travel]:
                self._burn.set_stop(float(travel))
            case _:
                return False
        return True

    def _steer_gauge(self, words: list[str]) -> bool:
        """Do what a command has to say to the gauge, or to its keeper; say whether it had."""
        match words:
            case ["spike", off]:
                self._burn.spike(float(off))
            case ["silent", seconds]:
                self._silent = Spell(self._shown_s, float(seconds))
            case ["garbage", seconds]:
                self._garbage = Spell(self._shown_s, float(seconds))
            case ["overflow", seconds]:
                self._overflow = Spell(self._shown_s, float(seconds))
            case ["doubt", seconds] if self._form.doubt:
                self._doubt = Spell(self._shown_s, float(seconds))
            case ["unit"] if self._form.knows_inches:
                inch = self._unit is LengthUnit.INCH
                self._unit = LengthUnit.MM if inch else LengthUnit.INCH
            case ["doubt", _] | ["unit"]:
                raise ValueError(f"The form of {self._form.profile} can't say that")
            case ["unplug", seconds]:
                self._unplugged = Spell(self._shown_s, float(seconds))
            case ["quit"]:
                self.over = True
            case _:
                return False
        return True

    @property
    def through(self) -> bool:
        """Whether the broken tool is gone, and the fall after it over."""
        return self._burn.depth_mm >= self._burn.scene.floor_mm

    @property
    def burn_s(self) -> float:
        """The burn's own time, s: real time, made faster by --speed."""
        return self._now_s() * self._speed

    def _now_s(self) -> float:
        return time.monotonic() - self._began_s

    def _catch_up(self) -> None:
        now_s = self._now_s()
        self._burn.advance((now_s - self._shown_s) * self._speed, self._arc_on)
        self._shown_s = now_s

    # The indicator -----------------------------------------------------------------------------

    def turn(self) -> None:
        """Show what is due, and sleep a moment."""
        if not self._plugged():
            time.sleep(NAP_S)
            return
        asked = self._outlet.received().count(REQUEST)
        if self._form.polled:
            for _ in range(asked):
                self._show()
            self._outlet.wait(NAP_S)
            return
        if self._now_s() >= self._due_s:
            self._show()
            # A reading that was missed is gone: no indicator sends two to make up for it.
            self._due_s = max(self._due_s + self._period_s, self._now_s())
        time.sleep(min(NAP_S, max(0.0, self._due_s - self._now_s())))

    def _plugged(self) -> bool:
        """Pull the plug or put it back when that is due; say whether it is in."""
        is_due = self._now_s() not in self._unplugged
        if is_due is not self._is_plugged:
            self._is_plugged = is_due
            (self._outlet.plug_in if is_due else self._outlet.unplug)()
        return is_due

    def close(self) -> None:
        """Hang up, unless that is done already."""
        if self._is_plugged:
            self._outlet.unplug()

    def _show(self) -> None:
        """Send one reading, or what comes in its place."""
        self._catch_up()
        if self._shown_s in self._silent or not self._burn.is_heard:
            return
        if self._shown_s in self._garbage:
            self._outlet.send(self._noise.randbytes(self._noise.randint(1, 40)))
            return
        if mark := self._mark_instead():
            self._outlet.send(mark.encode("ascii") + LINE_END)
            return
        travel_mm = self._burn.reading_mm()
        if self._outlet.send(self._form.line(travel_mm, self._unit)):
            self._write_truth(
                f"{time.time():.3f}",
                f"{self._shown_s:.3f}",
                f"{travel_mm:.4f}",
                f"{self._arc_on:d}",
                f"{self._burn.depth_mm:.4f}",
            )

    def _mark_instead(self) -> str:
        """What the indicator sends in a reading's place just now; empty when nothing."""
        if self._shown_s in self._overflow:
            return self._form.overflow
        return self._form.doubt if self._shown_s in self._doubt else ""

    def _write_truth(self, *row: str) -> None:
        if self._truth is not None:
            self._truth.writerow(row)
            self._flush()


def _scene(options: argparse.Namespace) -> Scene:
    """The scene that the options describe. Raises ValueError for one that can't be."""
    return Scene(
        recess_mm=options.recess,
        end_mm=options.end,
        bottom_mm=options.bottom,
        feed_mm_min=options.feed,
        wear_ratio=options.wear,
        resolution_mm=INCH_STEP_MM if options.inch else 0.01,
        soft_every_mm=options.soft_every,
        soft_mm=options.soft_thick,
        soft_times=options.soft_times,
        stall_at_mm=options.stall_at,
        stall_s=options.stall_for,
        fall_mm=options.fall,
        fall_mm_s=options.fall_speed,
        fall_noise=options.fall_noise,
        # The gauge lives in real time, and the scene in the burn's.
        spike_every_s=options.spike_every * options.speed,
        spike_mm=options.spike,
        dropout_every_s=options.dropout_every * options.speed,
        dropout_s=options.dropout_for * options.speed,
    )


def _whole_cycle(simulator: Simulator) -> Iterator[None]:
    """Go through CYCLE, a step further each time it is asked, and then quit."""
    for command, lasts_s in CYCLE:
        simulator.obey(command)
        end_s = simulator.burn_s + lasts_s
        while simulator.burn_s < end_s and not (command == "burn" and simulator.through):
            yield
    simulator.obey("quit")


def _typed_commands() -> queue.SimpleQueue[str]:
    """The lines of the standard input, as they come, read in a thread of their own."""
    lines: queue.SimpleQueue[str] = queue.SimpleQueue()

    def listen() -> None:
        # Unbuffered: a thread that waits in a buffered read can't be left behind at the end.
        with contextlib.suppress(OSError), open(0, "rb", buffering=0, closefd=False) as stdin:
            for line in stdin:
                lines.put(line.decode("utf-8", "replace"))

    threading.Thread(target=listen, name="commands", daemon=True).start()
    return lines


def _run(simulator: Simulator, auto: bool) -> None:
    """Turn until it is over, doing what is typed and what --auto does."""
    commands = _typed_commands()
    cycle = _whole_cycle(simulator) if auto else iter(())
    while not simulator.over:
        with contextlib.suppress(queue.Empty):
            command = commands.get_nowait()
            try:
                simulator.obey(command)
            except ValueError as problem:
                _say(f"{str(problem).rstrip('.')}; use {COMMANDS}.")
        next(cycle, None)
        simulator.turn()


def _say(words: str) -> None:
    """Tell the person who started it; the standard output is for the port alone."""
    print(words, file=sys.stderr, flush=True)


def _parser() -> argparse.ArgumentParser:
    first, _, rest = (__doc__ or "").partition("\n")
    parser = argparse.ArgumentParser(
        description=first, epilog=rest, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    _add_line_options(parser.add_argument_group("the line").add_argument)
    _add_burn_options(parser.add_argument_group("the hole and the burn").add_argument)
    _add_gauge_options(parser.add_argument_group("the gauge").add_argument)
    return parser


def _add_line_options(add: Callable[..., object]) -> None:
    add("--tcp", type=int, metavar="PORT", help="talk on this network port (0: any free one)")
    add("--modbus", action="store_true", help="answer as a Modbus device, RTU or with --tcp TCP")
    add("--link", type=Path, metavar="PATH", help="a second name for the pseudo-terminal")
    add("--truth", type=Path, metavar="FILE", help="write every reading sent, with the true depth")
    add("--auto", action="store_true", help="touch off, burn through, touch off again, end")


def _add_burn_options(add: Callable[..., object]) -> None:
    add("--recess", type=float, default=3.0, metavar="MM", help="depth of the break (3)")
    add("--end", type=float, default=18.0, metavar="MM", help="where the broken tool ends (18)")
    add("--bottom", type=float, metavar="MM", help="bottom of the hole (none: a through hole)")
    add("--feed", type=_positive, default=2.8, help="feed of depth, mm a minute (2.8)")
    add("--wear", type=float, default=0.25, help="electrode lost per mm of travel (0.25)")
    add("--soft-every", type=float, default=math.inf, metavar="MM", help="a soft layer every MM")
    add("--soft-thick", type=float, default=1.0, metavar="MM", help="so thick (1)")
    add("--soft-times", type=float, default=3.0, metavar="N", help="up to N times as fast (3)")
    add("--stall-at", type=float, metavar="MM", help="the burn stalls at MM")
    add("--stall-for", type=_positive, default=30.0, metavar="S", help="for S s of arc (30)")
    add("--fall", type=float, default=0.8, metavar="MM", help="falls so far below the tool (0.8)")
    add("--fall-speed", type=_positive, default=6.0, help="median speed of it, mm a second (6)")
    add("--fall-noise", type=float, default=0.0, metavar="SD", help="sd of the speed's log (0)")
    add("--seed", type=int, default=0, help="which invented burn (0)")
    add("--speed", type=_positive, default=1.0, help="the burn runs so many times faster (1)")


def _add_gauge_options(add: Callable[..., object]) -> None:
    add("--rate-hz", type=_positive, default=10.0, help="readings a second (10)")
    add(
        "--form", "--format", choices=FORMS, default="decimal", help="what a line is like (decimal)"
    )
    add("--inch", action="store_true", help="show inches, in steps of 0.0005 in")
    add("--silent-at", type=float, default=math.inf, metavar="S", help="fall silent at S s")
    add("--silent-for", type=float, default=3.0, metavar="S", help="for S s (3)")
    add("--garbage-at", type=float, default=math.inf, metavar="S", help="send noise at S s")
    add("--garbage-for", type=float, default=2.0, metavar="S", help="for S s (2)")
    add("--spike-every", type=float, default=math.inf, metavar="S", help="a spike every S s or so")
    add("--spike", type=float, default=2.0, metavar="MM", help="off by half of MM to all of it (2)")
    add("--dropout-every", type=float, default=math.inf, metavar="S", help="drop out, S s or so")
    add("--dropout-for", type=float, default=3.0, metavar="S", help="for S s (3)")


def _positive(text: str) -> float:
    number = float(text)
    if not 0 < number < math.inf:
        raise argparse.ArgumentTypeError(f"{text} must be more than 0")
    return number


def _outlet(options: argparse.Namespace) -> Outlet:
    on_network = options.tcp is not None or not HAS_PTY
    if options.modbus:
        return _modbus_outlet(options, on_network)
    if on_network:
        return TcpOutlet(options.tcp or 0)
    return PtyOutlet(options.link)


def _modbus_outlet(options: argparse.Namespace, on_network: bool) -> Outlet:
    # Late, because only this outlet needs the library that its server comes from.
    from modbus_outlet import ModbusOutlet

    outlet = ModbusOutlet(REQUEST, LINE_END)
    if on_network:
        outlet.on_network(options.tcp or 0)
    else:
        outlet.on_pseudo_terminal(options.link)
    return outlet


def main() -> int:
    """Run until it is told to end; 0 when it ended well, 1 when it could not begin."""
    parser = _parser()
    options = parser.parse_args()
    try:
        scene = _scene(options)
    except ValueError as problem:
        parser.error(str(problem))
    if options.modbus and importlib.util.find_spec("pymodbus") is None:
        parser.error("--modbus needs the library pymodbus, which scripts/test.py installs")
    if options.inch and not FORMS[options.form].knows_inches:
        parser.error(f"a line of the form {options.form} can't say that it is in inches")
    with contextlib.ExitStack() as cleanup:
        try:
            truth = None
            if options.truth is not None:
                truth = cleanup.enter_context(options.truth.open("w", encoding="utf-8"))
            outlet = _outlet(options)
        except (OSError, OverflowError) as problem:
            _say(f"The gauge simulator can't begin: {problem}; choose another name or port.")
            return 1
        simulator = Simulator(options, outlet, truth)
        cleanup.callback(simulator.close)

        def end(_signal: int, _frame: FrameType | None) -> None:
            simulator.over = True

        signal.signal(signal.SIGINT, end)
        signal.signal(signal.SIGTERM, end)
        print(f"port: {outlet.name}", flush=True)
        _say(
            f"A pretended depth indicator over an invented hole: break at {scene.recess_mm:g} mm, "
            f"tool ends at {scene.end_mm:g} mm. Choose this port in the cockpit; nothing burns."
        )
        if sys.stdin is not None and sys.stdin.isatty():
            _say(f"Type {COMMANDS}; then Enter.")
        _run(simulator, options.auto)
    return 0


if __name__ == "__main__":
    sys.exit(main())
