"""Measures the shift log of a long history: how soon it opens and answers, and what it takes.

    python3 scripts/bench_shiftlog.py                      # 1,000 and 100,000 holes: a quarter hour
    python3 scripts/bench_shiftlog.py --keep FOLDER        # logs made once, kept for the next time
    python3 scripts/bench_shiftlog.py --holes 5000

The real program in a real terminal, on logs that `fill_log.py` makes. It opens the shift log and
types searches into it letter by letter, first while the log is still being read, then when it is.
A key is answered by the first piece of output after which the screen shows what was typed and how
many holes have it in them: this script finds those by itself, in the plainest way. Then it prints
the whole log as a table by `burn-cockpit log --csv`, and says how much memory that took at most.
"""

import argparse
import os
import random
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING

from bench_screen import Pressed, answers
from oldest_python import require_python
from process_time import most_memory_mb

if TYPE_CHECKING:
    from tests.terminal.terminal import Terminal

ROOT = Path(__file__).resolve().parent.parent
SIZES = ((80, 24), (120, 40))
#: What 99 of 100 keys are to take at most, ms.
AIM_MS = 200.0
#: Keys come so far apart, from and to, s.
GAP_S = (0.25, 0.45)
#: A screen that is being put up is there after so long, s; the longest a log is waited for.
SETTLED_S, PATIENCE_S = 1.0, 300.0
#: What is typed while the log is still being read.
EARLY = ("quillstone", "tarnbeck")
#: What is typed then: a name, several words in any order, a day, letters of other alphabets, a
#: single letter that nearly all have, what nobody has.
TYPED = (
    "harrowfield m10 done",
    "2024-03 stud",
    "söder 1/4-20",
    "m",
    "damaged 2023",
    "rk m12x1.75 quill",
    "nobody",
    "7/",
)


#: What is told of what was found, and of how many holes were read until then.
_TOLD = re.compile(
    r"^ *(?P<found>\d+) holes?,.* closed(?: +still reading: (?P<read>\d+) of)?", re.M
)


@dataclass
class Figures:
    """What was measured at one size; times in ms, but for ``whole_s``; memory in MB."""

    opened_ms: float = inf
    whole_s: float = inf
    early: list[float] = field(default_factory=list)
    keys: list[float] = field(default_factory=list)
    bench_mb: float | None = None
    most_mb: float | None = None


def filled(folder: Path, holes: int) -> Path:
    """A log of so many holes in a folder of its own, with a shift open; made where it is not."""
    from cockpit import locations, profiles
    from cockpit.log import questions
    from cockpit.log.rows import CheckResult
    from cockpit.log.store import Store

    data = folder / f"{holes}"
    if not (data / locations.LOG_NAME).exists():
        fill = [sys.executable, str(ROOT / "scripts/fill_log.py"), "--here", "--data", str(data)]
        subprocess.run([*fill, "--holes", f"{holes}"], check=True)
    with Store(data / locations.LOG_NAME) as store:
        if questions.open_shift(store.connection) is None:
            shift = store.open_shift("MT", "standard", "typed")
            for item in profiles.load_checklist().daily:
                store.add_check(shift, None, item.key, item.title, CheckResult.CONFIRMED)
    return data


def words_in(data: Path) -> list[str]:
    """What each hole is found by."""
    from contextlib import closing

    from cockpit import locations
    from cockpit.log import listing
    from cockpit.log.opening import open_to_read

    with closing(open_to_read(data / locations.LOG_NAME)) as connection:
        return [listing.words_of(hole) for hole in listing.shift_log(connection)]


def counts(words: list[str], text: str) -> int:
    """How many have all the words of a text in them."""
    wanted = text.casefold().split()
    return sum(all(word in one for word in wanted) for one in words)


def typed_at(screen: str, text: str) -> bool:
    """Whether the field of a screen holds this text."""
    return any(text in line for line in screen.splitlines()[1:4])


def has_found(screen: str, text: str, words: list[str], shown: str | None = None) -> bool:
    """Whether a screen shows this text typed, and how many holes have it of those that are read.

    ``shown``: what the field shows where that is another text, as an empty one does.
    """
    told = _TOLD.search(screen)
    if told is None or not typed_at(screen, shown or text.rstrip()):
        return False
    read = int(told["read"]) if told["read"] else len(words)
    return int(told["found"]) == counts(words[:read], text)


def searches(
    terminal: "Terminal", texts: Sequence[str], words: list[str], chance: random.Random
) -> Iterator[Pressed]:
    """Type all searches, each letter by letter, and empty the field after each."""
    for text in texts:
        for end in range(1, len(text) + 1):
            part = text[:end]
            is_answered = partial(has_found, text=part, words=words)
            yield press(terminal, text[end - 1], is_answered, chance)
        is_empty = partial(has_found, text="", words=words, shown="type to search")
        yield press(terminal, "\x15", is_empty, chance)


def press(
    terminal: "Terminal", key: str, is_answered: "partial[bool]", chance: random.Random
) -> Pressed:
    """Press a key, and wait by chance."""
    pressed_s = time.perf_counter()
    terminal.type(key)
    time.sleep(chance.uniform(*GAP_S))
    return Pressed(pressed_s, is_answered)


def measure(data: Path, words: list[str], size: tuple[int, int], many: int | None) -> Figures:
    """All figures at one size; ``many`` searches of each kind, None for all of them."""
    from tests.terminal.shop import cockpit

    figures, chance = Figures(), random.Random(1)
    columns, rows = size
    with cockpit(data, "--gauge", "typed", columns=columns, rows=rows) as terminal:
        terminal.wait_for(" to do ", PATIENCE_S)
        time.sleep(SETTLED_S)
        pid = terminal.process.pid
        figures.bench_mb = most_memory_mb(pid)
        began_s = time.perf_counter()
        terminal.type("l")
        terminal.wait_for("►", PATIENCE_S)
        terminal.wait_for(" holes", PATIENCE_S)
        figures.opened_ms = 1000 * (time.perf_counter() - began_s)
        terminal.hold()
        pressed = list(searches(terminal, EARLY[:many], words, chance))
        figures.early = list(answers(terminal, pressed))
        terminal.wait_for(f"{len(words)} holes", PATIENCE_S)
        while "still reading" in terminal.screen():
            time.sleep(0.02)
        figures.whole_s = time.perf_counter() - began_s
        time.sleep(SETTLED_S)
        terminal.hold()
        pressed = list(searches(terminal, TYPED[:many], words, chance))
        time.sleep(SETTLED_S)
        figures.keys = list(answers(terminal, pressed))
        figures.most_mb = most_memory_mb(pid)
    return figures


def table_of(data: Path) -> tuple[float, float | None, int]:
    """The log as a table: how long it took, s, the most memory, MB, and how long it is, bytes."""
    command = [sys.executable, "-m", "cockpit", "log", "--csv", "--data", str(data)]
    with tempfile.TemporaryFile() as out:
        began_s, most_mb = time.perf_counter(), None
        process = subprocess.Popen(command, stdout=out, cwd=ROOT)
        while process.poll() is None:
            # What the system tells of a child that is gone counts this process's own memory too.
            most_mb = most_memory_mb(process.pid) or most_mb
            time.sleep(0.02)
        assert process.returncode == 0
        return time.perf_counter() - began_s, most_mb, out.seek(0, os.SEEK_END)


def tell(size: tuple[int, int], figures: Figures) -> None:
    """Print the figures of one size."""
    from soak import percentile

    print(f"  {size[0]}x{size[1]}")
    line("opens in", f"{figures.opened_ms:.0f} ms")
    line("all of it read, with keys meanwhile", f"{figures.whole_s:.1f} s")
    for name, took_ms in (("while it is read", figures.early), ("then", figures.keys)):
        half, most = (percentile(took_ms, part) for part in (0.5, 0.99))
        line(
            f"{len(took_ms)} keys {name}",
            f"median {half:.0f} ms, 99 % within {most:.0f} ms, the longest {max(took_ms):.0f} ms"
            f"   (aim: {AIM_MS:.0f}), {took_ms.count(inf)} not answered",
        )
        slowest = sorted(range(len(took_ms)), key=took_ms.__getitem__)[-3:]
        line("  slowest", ", ".join(f"key {at + 1}: {took_ms[at]:.0f} ms" for at in slowest[::-1]))
    line("most memory", f"{mb(figures.most_mb)}, on the bench {mb(figures.bench_mb)}")


def mb(figure: float | None) -> str:
    """A size."""
    return "not told" if figure is None else f"{figure:.1f} MB"


def line(name: str, said: str) -> None:
    """One figure."""
    print(f"    {name:<38}{said}", flush=True)


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    add = parser.add_argument
    add("--holes", type=int, nargs="+", default=[1_000, 100_000], help="(1000 100000)")
    add("--keep", type=Path, metavar="FOLDER", help="where the logs are made and stay")
    add("--quick", action="store_true", help="a search of each kind, at one size")
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
    with tempfile.TemporaryDirectory(prefix="bench-shiftlog-") as passing:
        for holes in asked.holes:
            data = filled(asked.keep or Path(passing), holes)
            words = words_in(data)
            print(f"shift log of {len(words):,} holes")
            for size in SIZES[:1] if asked.quick else SIZES:
                tell(size, measure(data, words, size, 1 if asked.quick else None))
            took_s, most_mb, long = table_of(data)
            line("log --csv", f"{took_s:.1f} s, {long / 1e6:.1f} MB, memory {mb(most_mb)}")
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
