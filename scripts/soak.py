"""Lets the cockpit watch one long burn, and sees whether it stays small, quick and complete.

    python3 scripts/soak.py                 # an hour of arc at 50 readings a second
    python3 scripts/soak.py --minutes 5

The real program in a real terminal, a pretended indicator on a pseudo-terminal. Every second a key
is pressed (U: the unit), and the time taken until the screen shows the other unit; every 10 s the
size of the process is noted, as the system tells it. A dozen times the arc goes off and on again.
At the end the readings in the log are held against what was sent.

The exit code is 1 when the process has grown by more than 5 MB after its first 5 minutes, when one
key in a hundred takes longer than 100 ms, or when a reading is lost or made up: those sent while
the arc burnt are counted besides, whatever the log calls a burn. With ``--untimed`` the keys are
not judged: on a computer that is busy with something else.
"""

import argparse
import os
import re
import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from oldest_python import require_python

if TYPE_CHECKING:
    from torture_record import Kept, Truth

    from tests.terminal.shop import Operator

ROOT = Path(__file__).resolve().parent.parent
#: How often a key is pressed, and the process looked at, s.
KEY_EVERY_S, SIZE_EVERY_S = 1.0, 10.0
#: The arc goes off and on again so many times.
BREAKS = 12
#: So deep the burn gets, in all the time it has, mm.
DEPTH_MM = 30.0
#: After so long everything that is loaded late is loaded, s; then it may grow by so much, MB.
WARM_S, GROWTH_MB = 300.0, 5.0
#: Of a hundred keys at most one may take longer than this, ms.
KEY_MS = 100.0
#: The head lifts so much later than the arc clock stops, at most, s.
LIFTS_S = 0.5
#: The longest that a key is waited for, s.
PATIENCE_S = 20.0


class Soak:
    """One burn, watched. ``sizes``: seconds since the arc, resident and proportional size in MB."""

    def __init__(self, operator: "Operator", pid: int, lasts_s: float) -> None:
        self.sizes: list[tuple[float, float, float]] = []
        self.keys_ms: list[float] = []
        self.cpu_share = 0.0
        self._operator = operator
        self._pid = pid
        self._lasts_s = lasts_s
        self._break_every_s = lasts_s / (BREAKS + 1)

    def run(self) -> None:
        """Burn, from the first arc on, for as long as was asked."""
        began_s, cpu_s = time.monotonic(), self._cpu_s()
        self._operator.arc_on(r"arc on")
        key_due_s = size_due_s = 0.0
        break_due_s = self._break_every_s
        while (now_s := time.monotonic() - began_s) < self._lasts_s:
            if now_s >= size_due_s:
                self.sizes.append((now_s, *self._size_mb()))
                size_due_s += SIZE_EVERY_S
            if now_s >= key_due_s:
                self._press()
                key_due_s = max(key_due_s + KEY_EVERY_S, now_s)
            if now_s >= break_due_s:
                self._break()
                break_due_s += self._break_every_s
            time.sleep(0.02)
        self.sizes.append((self._lasts_s, *self._size_mb()))
        self.cpu_share = (self._cpu_s() - cpu_s) / (time.monotonic() - began_s)
        self._operator.arc_off()

    def _press(self) -> None:
        """Switch the unit, and wait until the feed is in the other one."""
        is_mm = re.search(r"feed \S+ mm/min", self._operator.terminal.screen()) is not None
        pressed_s = time.perf_counter()
        self._operator.terminal.press("u")
        self._operator.terminal.wait_for(
            re.compile(rf"feed \S+ {'in' if is_mm else 'mm'}/min"), PATIENCE_S
        )
        self.keys_ms.append(1000 * (time.perf_counter() - pressed_s))

    def _break(self) -> None:
        """Arc off and on again; with a spot to look at, it is looked at in between."""
        self._operator.arc_off()
        if "look at the spot" in self._operator.sees(r"SPACE +(arc on|touch|.*at the spot)"):
            self._operator.space("guard off, look at the spot")
            self._operator.space("yes, centred")
            self._operator.guard()
        if self._operator.sees(r"A arc on|SPACE +arc on").startswith("A"):
            self._operator.terminal.press("a")
            self._operator.sees("ARC ON")
            self._operator.indicator.say("burn")
        else:
            self._operator.arc_on()

    def _size_mb(self) -> tuple[float, float]:
        """Resident size, and the same with shared pages shared out; MB."""
        told = Path(f"/proc/{self._pid}/smaps_rollup").read_text(encoding="ascii")
        sizes = dict(re.findall(r"^(Rss|Pss): +(\d+) kB$", told, re.MULTILINE))
        return int(sizes["Rss"]) / 1024, int(sizes["Pss"]) / 1024

    def _cpu_s(self) -> float:
        """Processor time that the process has had, s."""
        fields = Path(f"/proc/{self._pid}/stat").read_text(encoding="utf-8").rpartition(")")[2]
        ticks = fields.split()[11:13]
        return sum(map(int, ticks)) / os.sysconf("SC_CLK_TCK")


def percentile(figures: list[float], part: float) -> float:
    """The smallest figure that this part of them does not exceed; NaN of none."""
    ordered = sorted(figures)
    place = max(0, -int(-part * len(ordered) // 1) - 1)
    return ordered[place] if ordered else float("nan")


def line(name: str, said: str) -> None:
    """One figure."""
    print(f"  {name:<38}{said}", flush=True)


def watch(asked: argparse.Namespace, folder: Path) -> tuple[Soak, "Kept", "Truth"]:
    """The shop, the hole as far as its first arc, and then the burn."""
    from torture_record import Record, Truth

    from tests.terminal.shop import Indicator, Operator, cockpit

    truth = Truth(folder)
    lasts_s, feed = 60 * asked.minutes, max(DEPTH_MM / asked.minutes, 0.6)
    scene = ("--recess", "1", "--end", "60", "--feed", f"{min(feed, 6.0)}")
    with Indicator(truth.new_file(), *scene, "--rate-hz", f"{asked.hz}") as indicator:
        data = folder / "data"
        with cockpit(data, "--gauge", "serial-decimal", "--port", indicator.port) as terminal:
            operator = Operator(terminal, indicator)
            operator.open_shift()
            operator.take_in(thread="M20", depth="45 mm")
            operator.set_up()
            soak = Soak(operator, terminal.process.pid, lasts_s)
            soak.run()
            terminal.press("ctrl+q")
            terminal.wait_exit()
    truth.catch_up()
    record = Record(data, truth)
    return soak, record.compare(record.holes()[0][0], []), truth


def tell(asked: argparse.Namespace, soak: Soak, kept: "Kept", truth: "Truth") -> list[str]:
    """Print what came of it; return what is out of bounds."""
    print(f"soak: {asked.minutes:g} min of arc at {asked.hz:g} readings a second")
    warm = [one for one in soak.sizes if one[0] >= WARM_S] or soak.sizes[-1:]
    for name, at in (("resident", 1), ("its share of shared pages", 2)):
        sizes = [one[at] for one in soak.sizes]
        line(f"memory, {name}", f"{sizes[0]:.1f} MB at first, {warm[0][at]:.1f} MB warm, ")
        line("", f"{sizes[-1]:.1f} MB at the end, {max(sizes):.1f} MB at most")
    growth_mb = max(one[1] for one in warm) - warm[0][1]
    line("growth since it was warm", f"{growth_mb:.1f} MB (bound {GROWTH_MB:g})")
    line("readings sent", f"{len(truth.sent)}")
    line("  in the log", f"{kept.readings}")
    line("  lost in a burn", f"{kept.lost}")
    burnt = sum(one.arc_on for one in truth.sent)
    may_lack = round((BREAKS + 1) * LIFTS_S * asked.hz)
    line("  sent with the arc on", f"{burnt}")
    line("    in a burn in the log", f"{kept.in_burns} (may lack {may_lack})")
    parts = (0.5, 0.95, 0.99, 1.0)
    median, most95, most99, most = (percentile(soak.keys_ms, part) for part in parts)
    told = f"median {median:.0f} ms, 95 % {most95:.0f}, 99 % {most99:.0f}, most {most:.0f}"
    line(f"{len(soak.keys_ms)} keys answered", f"{told} (bound {KEY_MS:g} at 99 %)")
    line("share of one processor", f"{100 * soak.cpu_share:.0f} %")
    found = list(kept.wrong)
    if burnt - kept.in_burns > may_lack:
        found.append(f"{burnt - kept.in_burns} readings sent with the arc on are in no burn")
    if growth_mb > GROWTH_MB:
        found.append(f"the process grew by {growth_mb:.1f} MB")
    if most99 > KEY_MS and not asked.untimed:
        found.append(f"one key in a hundred took {most99:.0f} ms or longer")
    return found


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    add = parser.add_argument
    add("--minutes", type=float, default=60.0, help="of arc (60)")
    add("--hz", type=float, default=50.0, help="readings a second (50)")
    add("--keep", type=Path, metavar="DIR", help="keep the log and all here")
    add("--untimed", action="store_true", help="don't judge how soon keys are answered")
    add("--here", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def main() -> int:
    """Soak, in the project's own environment."""
    require_python()
    from environment import start_again  # late: it needs today's Python

    asked = arguments()
    if not asked.here:
        return start_again(__file__, sys.argv[1:], "dev")
    sys.path.insert(0, str(ROOT))
    folder = asked.keep or Path(tempfile.mkdtemp(prefix="soak-"))
    folder.mkdir(parents=True, exist_ok=True)
    found = tell(asked, *watch(asked, folder))
    for what in found:
        print(f"FINDING: {what}", flush=True)
    if not found and not asked.keep:
        shutil.rmtree(folder)
    return 1 if found else 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
