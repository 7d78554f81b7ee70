"""Measures what the burn screen costs and how soon it answers; it judges nothing.

    python3 scripts/bench_screen.py                        # a minute of arc at each size: 10 min
    python3 scripts/bench_screen.py --seconds 10 --keys 50

The real program in a real terminal, a pretended indicator on a pseudo-terminal, the arc on, 10
readings a second. At each size of the terminal:

share of one core: processor time of the cockpit's own process, nobody at the keys.
traffic: what it writes meanwhile, how many cells that paints, how many show something else then.
keys: the time from a key to the first piece of output after which the screen shows its answer.
U: the other unit. ?: the keys, and away again. Space: the arc clock off and on.

While it measures, the output is only noted; the emulator takes it in afterwards. "Late" is how
much later than asked this computer wakes a sleeper: what it can't do, no program on it can.
"""

import argparse
import random
import re
import sys
import tempfile
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING

from oldest_python import require_python

if TYPE_CHECKING:
    from tests.terminal.shop import Operator
    from tests.terminal.terminal import Terminal

ROOT = Path(__file__).resolve().parent.parent
SIZES = ((80, 24), (120, 40), (200, 60))
#: What is aimed at: share of one core, %, and the time that 99 of 100 keys take at most, ms.
AIM_SHARE, AIM_MS = 15.0, 50.0
#: A hole so deep, and a feed that does not burn half of it while it is watched, mm, mm/min.
DEPTH_MM, MOST_FEED_MM_MIN = 45.0, 6.0
READINGS_HZ = 10.0
#: At that feed the pilot burn takes less than this, s.
PILOT_S = 600.0
#: Keys come so far apart, from and to, s: never in step with the readings. The big key comes later
#: than a held one's repeat could, which would have to wait.
GAP_S, BIG_GAP_S = (0.2, 0.4), (1.2, 1.4)
#: For so many unit keys one of the other kinds.
HELP_EVERY, BIG_EVERY = 5, 25
#: A screen that is being put up is there after so long, s.
SETTLED_S = 1.0
#: A piece of output that paints so much of the screen draws all of it anew.
WHOLE = 0.9

#: What stands over the keys that `?` shows.
KEYS_TITLE = "The keys of this screen"

_CONTROL = re.compile(rb"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[\]P_^X][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b.")
_UNIT = re.compile(r"\b(mm|in)(?=/min\b| ±)")


@dataclass
class Figures:
    """What was measured at one size; shares in %, rates a second, times in ms."""

    readings: float = 0.0
    share: float = 0.0
    waited: float | None = None
    bytes: float = 0.0
    pieces: float = 0.0
    painted: float = 0.0
    changed: float = 0.0
    whole: int = 0
    keys: dict[str, list[float]] = field(default_factory=dict)
    late: list[float] = field(default_factory=list)


@dataclass(frozen=True)
class Pressed:
    """A key that was pressed, and by what its answer is known."""

    at_s: float
    is_answered: Callable[[str], bool]


class Bench:
    """One burn, looked at and pressed at."""

    def __init__(self, operator: "Operator", asked: argparse.Namespace) -> None:
        self._operator = operator
        self._terminal = operator.terminal
        self._asked = asked
        self._chance = random.Random(1)

    def measure(self, columns: int, rows: int) -> Figures:
        """All figures at this size."""
        self._terminal.resize(columns, rows)
        time.sleep(SETTLED_S)
        figures = Figures()
        self._watch(figures)
        cells = columns * rows
        self._take_traffic(figures, cells)
        many = self._asked.keys
        self._keys("U", figures, self._units(many))
        self._keys("?", figures, self._helps(many // HELP_EVERY))
        self._keys("Space", figures, self._arcs(max(many // BIG_EVERY, 2)))
        return figures

    # The share, and what is written ---------------------------------------------------------------

    def _watch(self, figures: Figures) -> None:
        """Keep the hands off for a while."""
        from process_time import processor_s, waited_s

        pid, sent = self._terminal.process.pid, self._operator.indicator.sent
        self._terminal.hold()
        sent_before, waited_before_s = len(sent()), waited_s(pid)
        began_s, had_s = time.perf_counter(), processor_s(pid)
        time.sleep(self._asked.seconds)
        lasted_s = time.perf_counter() - began_s
        figures.share = 100 * (processor_s(pid) - had_s) / lasted_s
        waited_after_s = waited_s(pid)
        if waited_before_s is not None and waited_after_s is not None:
            figures.waited = 100 * (waited_after_s - waited_before_s) / lasted_s
        figures.readings = (len(sent()) - sent_before) / lasted_s

    def _take_traffic(self, figures: Figures, cells: int) -> None:
        """See what came meanwhile; how much of it was news."""
        before, began_s, at_s = self._terminal.screen(), None, 0.0
        for at_s, data in self._terminal.replay():
            began_s = at_s if began_s is None else began_s
            painted = len(_CONTROL.sub(b"", data).decode(errors="replace"))
            after = self._terminal.screen()
            figures.bytes += len(data)
            figures.pieces += 1
            figures.painted += painted
            figures.changed += differ(before, after)
            figures.whole += painted >= WHOLE * cells
            before = after
        lasted_s = max(at_s - (began_s or 0.0), 1e-9)
        for name in ("bytes", "pieces", "painted", "changed"):
            setattr(figures, name, getattr(figures, name) / lasted_s)

    # Keys -----------------------------------------------------------------------------------------

    def _keys(self, name: str, figures: Figures, presses: Iterator[Pressed]) -> None:
        """Press, and then find out from what was noted when each key was answered."""
        self._terminal.hold()
        pressed = []
        for one in presses:
            pressed.append(one)
            figures.late.append(self._pause(*(BIG_GAP_S if name == "Space" else GAP_S)))
        time.sleep(SETTLED_S)
        figures.keys[name] = list(answers(self._terminal, pressed))

    def _press(self, key: str, is_answered: Callable[[str], bool]) -> Pressed:
        pressed_s = time.perf_counter()
        self._terminal.type(key)
        return Pressed(pressed_s, is_answered)

    def _pause(self, least_s: float, most_s: float) -> float:
        """Wait by chance; how much later than asked it ended, ms."""
        asked_s, began_s = self._chance.uniform(least_s, most_s), time.perf_counter()
        time.sleep(asked_s)
        return 1000 * (time.perf_counter() - began_s - asked_s)

    def _units(self, many: int) -> Iterator[Pressed]:
        """Inch, millimetre, and so on."""
        found = _UNIT.search(self._terminal.screen())
        assert found is not None, self._terminal.screen()
        turns = ("in", "mm") if found[1] == "mm" else ("mm", "in")
        for number in range(many):
            yield self._press("u", partial(shows_unit, unit=turns[number % 2]))

    def _helps(self, many: int) -> Iterator[Pressed]:
        """The keys over the screen, and away."""
        for number in range(many):
            opens = number % 2 == 0
            yield self._press("?" if opens else "x", partial(shows, words=KEYS_TITLE, or_not=opens))

    def _arcs(self, many: int) -> Iterator[Pressed]:
        """The arc clock off and on; the head follows, as by an operator."""
        for number in range(2 * (many // 2)):
            stops = number % 2 == 0
            yield self._press(" ", partial(shows_arc, on=not stops))
            self._operator.indicator.say("stop" if stops else "burn")


def answers(terminal: "Terminal", pressed: Sequence[Pressed]) -> Iterator[float]:
    """How long each key took, ms; without end for one whose answer never showed.

    The key after the next has the same answer, and from then on it would be taken for this one.
    """
    ends_s = [*(one.at_s for one in pressed[2:]), inf, inf]
    waiting = deque(zip(pressed, ends_s, strict=False))
    for at_s, _ in terminal.replay():
        while waiting and at_s >= waiting[0][1]:
            waiting.popleft()
            yield inf
        if waiting and at_s >= waiting[0][0].at_s:
            one, _ = waiting[0]
            if one.is_answered(terminal.screen()):
                waiting.popleft()
                yield 1000 * (at_s - one.at_s)
    yield from (inf for _ in waiting)


def shows(text: str, words: str, or_not: bool) -> bool:
    """Whether a screen shows these words, or does not, as wanted."""
    return (words in text) is or_not


def shows_arc(text: str, on: bool) -> bool:
    """Whether a screen says that the arc clock runs, or that it does not, as wanted."""
    from torture_screen import read_screen

    return read_screen(text).arc_on is on


def shows_unit(text: str, unit: str) -> bool:
    """Whether a screen shows its figures in this unit."""
    found = _UNIT.search(text)
    return found is not None and found[1] == unit


def differ(before: str, after: str) -> int:
    """How many cells show something else.

    >>> differ("12.3\\nfeed", "12.4\\nfeed 1")
    3
    """
    return sum(
        sum(a != b for a, b in zip(one, other, strict=False)) + abs(len(one) - len(other))
        for one, other in zip(before.split("\n"), after.split("\n"), strict=False)
    )


def wait_for(operator: "Operator", words: str) -> None:
    """Wait for words that take their time."""
    operator.sees(words, PILOT_S)


def minutes(asked: argparse.Namespace) -> float:
    """How long all takes at one size, more or less, min."""
    keys_s = asked.keys * (1 + 1 / HELP_EVERY) * max(GAP_S) + asked.keys / BIG_EVERY * max(
        BIG_GAP_S
    )
    return float(asked.seconds + keys_s) / 60


def watch(asked: argparse.Namespace, folder: Path) -> dict[tuple[int, int], Figures]:
    """The shop, the hole as far as its burn, and then the figures at each size."""
    from tests.terminal.shop import Indicator, Operator, cockpit

    feed = min(MOST_FEED_MM_MIN, DEPTH_MM / 2 / (len(SIZES) * minutes(asked)))
    scene = ("--recess", "1", "--end", "60", "--feed", f"{feed}")
    with (
        Indicator(folder / "truth.csv", *scene, "--rate-hz", f"{READINGS_HZ}") as indicator,
        cockpit(folder, "--gauge", "serial-decimal", "--port", indicator.port) as terminal,
    ):
        operator = Operator(terminal, indicator)
        operator.open_shift()
        operator.take_in(thread="M20", depth=f"{DEPTH_MM:g} mm")
        operator.set_up()
        operator.pilot(partial(wait_for, operator, "PILOT"))
        operator.arc_on()
        bench = Bench(operator, asked)
        found = {size: bench.measure(*size) for size in SIZES}
        terminal.press("ctrl+q", "ctrl+q")
        terminal.wait_exit()
    return found


def rows_of(figures: Figures) -> Iterator[tuple[str, float | None, float | None]]:
    """The figures of one size: name, figure, aim."""
    from soak import percentile

    yield "readings a second", figures.readings, None
    yield "share of one core, %", figures.share, AIM_SHARE
    yield "  ready but not let run, %", figures.waited, None
    yield "bytes written a second", figures.bytes, None
    yield "pieces of output a second", figures.pieces, None
    yield "cells painted a second", figures.painted, None
    yield "cells changed a second", figures.changed, None
    yield "whole screens drawn anew", figures.whole, None
    every = {**figures.keys, "all": [ms for kind in figures.keys.values() for ms in kind]}
    for name, took_ms in every.items():
        yield f"keys {name}: pressed", len(took_ms), None
        for part in (0.5, 0.95, 0.99):
            aim = AIM_MS if (name, part) == ("all", 0.99) else None
            yield f"  {100 * part:.0f} % within, ms", percentile(took_ms, part), aim
        yield "  the longest, ms", percentile(took_ms, 1.0), None
    yield "keys not answered", every["all"].count(inf), None
    yield "late, 99 % within, ms", percentile(figures.late, 0.99), None


def tell(asked: argparse.Namespace, found: dict[tuple[int, int], Figures]) -> None:
    """Print the table."""
    keys = sum(len(took) for took in next(iter(found.values())).keys.values())
    print(f"screen: arc on, {asked.seconds:g} s hands off and {keys} keys at each size")
    sizes = "".join(f"{f'{columns}x{rows}':>10}" for columns, rows in found)
    print(f"  {'':<34}{sizes}      aim   worst of aim")
    for cells in zip(*(rows_of(one) for one in found.values()), strict=True):
        (name, _, aim), figures = cells[0], [figure for _, figure, _ in cells]
        shown = "".join(f"{'--' if one is None else f'{one:.1f}':>10}" for one in figures)
        worst = max((one for one in figures if one is not None), default=float("nan"))
        told = "" if aim is None else f"   < {aim:4g}   {worst / aim:.2f}"
        print(f"  {name:<34}{shown}{told}", flush=True)


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    add = parser.add_argument
    add("--seconds", type=float, default=60.0, help="hands off at each size (60)")
    add("--keys", type=int, default=500, help="unit keys at each size (500)")
    add("--here", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def main() -> int:
    """Measure, in the project's own environment."""
    require_python()
    from environment import start_again  # late: it needs today's Python

    asked = arguments()
    if not asked.here:
        return start_again(__file__, sys.argv[1:], "dev")
    sys.path.insert(0, str(ROOT))
    with tempfile.TemporaryDirectory(prefix="bench-screen-") as folder:
        tell(asked, watch(asked, Path(folder)))
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
