"""Sends spoilt byte streams through the reader of every shipped serial gauge profile.

    python3 scripts/fuzz_reader.py                        # 100,000 streams: minutes
    python3 scripts/fuzz_reader.py --streams 2000         # fewer
    python3 scripts/fuzz_reader.py --seed 0 --only 17     # one of them again
    python3 scripts/fuzz_reader.py --guided 300           # led by coverage, for 300 s
    python3 scripts/fuzz_reader.py --input FILE           # what that has found, again

Half of the streams are random bytes, half lines of the forms: whole, damaged, cut, joined, mixed
with rubbish. Each goes to every profile, in one chunk and in random ones, with pauses and without.
What comes out is held to scripts/fuzz_oracle.py, which works it out anew: every reading is an
intact line of the stream, in order and with its value, and no such line is missing; all else is
refused; nothing is raised; chunks make no difference; little is held back.

It prints figures, and what one damaged byte can do to a line of each form, and ends with exit code
1 and the way to see it again when something is found. The guided run needs atheris, which comes
with the extra `fuzz`; there is a wheel of it for Linux, and not for every other computer.
"""

import argparse
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from functools import partial
from multiprocessing import Pool
from pathlib import Path
from typing import TYPE_CHECKING

from oldest_python import require_python

if TYPE_CHECKING:
    from fuzz_streams import Figures

#: So many streams go to a core at a time.
AT_ONCE = 500
#: What the guided run says of each step it takes.
NEWS = re.compile(
    r"#\d+\s+(?:NEW|REDUCE|RELOAD|pulse)|INFO: Instrumenting|\[INFO\]|WARNING: Failed"
)


def line(name: str, said: str) -> None:
    """One figure."""
    print(f"  {name:<34}{said}", flush=True)


def random_streams(seed: int, numbers: range) -> int:
    """Hold the reader to the streams of these numbers, on all cores; the exit code."""
    from fuzz_streams import Figures, run_streams

    figures, began_s = Figures(), time.perf_counter()
    parts = [numbers[at : at + AT_ONCE] for at in range(0, len(numbers), AT_ONCE)]
    with Pool(min(len(parts), os.cpu_count() or 1)) as pool:
        for seen in pool.imap(partial(run_streams, seed), parts):
            figures.add(seen)
            if seen.finding:
                print(seen.finding)
                return 1
    _say(figures, time.perf_counter() - began_s)
    _say_damage()
    return 0


def _say(figures: "Figures", passed_s: float) -> None:
    from fuzz_streams import serial_profiles

    print(f"streams, each to {len(serial_profiles())} profiles three times")
    line("streams", f"{figures.streams:,}")
    line("bytes fed", f"{figures.fed_bytes:,}")
    line("readings", f"{figures.readings:,}, each a line that was sent; none missing")
    line("rejects", f"{figures.rejects:,}")
    line("most held back", f"{figures.most_held_bytes} bytes of memory")
    line("time", f"{passed_s:.0f} s, {figures.streams / passed_s:.0f} streams a second")


def _say_damage() -> None:
    from fuzz_streams import one_bit_turned, one_byte_lost
    from gauge_forms import FORMS

    print("one byte of a line damaged: read as another travel")
    for name, form in FORMS.items():
        lost, turned = one_byte_lost(form), one_bit_turned(form)
        line(
            name,
            f"lost {100 * lost.misread / lost.lines:.1f} %, "
            f"a bit turned {100 * turned.misread / turned.lines:.1f} %",
        )


def guided(seconds: int) -> int:
    """Let coverage lead the streams for so long, in a process of its own; the exit code."""
    from gauge_forms import FORMS

    if importlib.util.find_spec("atheris") is None:
        print("The guided run needs atheris: install the extra fuzz, or start this without --here.")
        return 1
    findings = Path(tempfile.mkdtemp(prefix="fuzz-"))
    seeds = findings / "seeds"
    seeds.mkdir()
    for number, form in enumerate(FORMS.values()):
        lines = form.line(12.34) + form.line(-0.5) + f"{form.overflow}\r\n".encode("ascii")
        for head in range(len(FORMS)):
            seeds.joinpath(f"{number}-{head}").write_bytes(bytes([head, number]) + lines)
    options = [f"-max_total_time={seconds}", "-max_len=700", "-len_control=0"]
    options += ["-print_final_stats=1", f"-artifact_prefix={findings}/", str(seeds)]
    command = [sys.executable, __file__, "--fuzz", *options]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, errors="replace") as run:
        for said in run.stderr or ():
            if not NEWS.match(said):
                print(said, end="", flush=True)
    shutil.rmtree(seeds)
    for found in sorted(findings.iterdir()):
        print(f"To see it again: fuzz_reader.py --input {found}")
    if not run.returncode:
        findings.rmdir()
    return int(bool(run.returncode))


def run_guided(options: "list[str]") -> None:
    """The process of a guided run, which does not come back."""
    import atheris

    import cockpit.profiles  # noqa: F401 - loaded before, so that only the gauges' code leads

    with atheris.instrument_imports(include=["cockpit"]):
        import fuzz_streams

    figures = fuzz_streams.Figures()
    atheris.enabled_hooks.add("RegEx")
    atheris.enabled_hooks.add("str")
    atheris.Setup([sys.argv[0], *options], lambda data: fuzz_streams.run_input(data, figures))
    atheris.Fuzz()


def once(file: Path) -> int:
    """Hold the reader to one input of the guided run; the exit code."""
    from fuzz_streams import Figures, FindingError, run_input

    try:
        run_input(file.read_bytes(), Figures())
    except OSError as problem:
        print(f"{file}: {problem.strerror}; name a file that a guided run has left.")
        return 1
    except FindingError as finding:
        print(f"{finding}.")
        return 1
    print("Nothing is wrong with it any more.")
    return 0


def _count(text: str) -> int:
    number = int(text)
    if number < 1:
        raise argparse.ArgumentTypeError(f"{text} must be 1 or more")
    return number


def _parser() -> argparse.ArgumentParser:
    first, _, rest = (__doc__ or "").partition("\n")
    parser = argparse.ArgumentParser(
        description=first, epilog=rest, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    add = parser.add_argument
    add("--streams", type=_count, default=100_000, metavar="N", help="how many streams (100,000)")
    add("--seed", type=int, default=0, help="which streams (0)")
    add("--only", type=int, metavar="I", help="the stream of this number alone")
    add("--guided", type=_count, metavar="SECONDS", help="led by coverage, for so long")
    add("--input", type=Path, metavar="FILE", help="what a guided run has found")
    add("--here", action="store_true", help=argparse.SUPPRESS)
    return parser


def main() -> int:
    """Run what was asked for, in the project's environment."""
    require_python()
    if sys.argv[1:2] == ["--fuzz"]:
        run_guided(sys.argv[2:])
    asked = _parser().parse_args()
    if not asked.here:
        from environment import start_again  # late: it needs today's Python

        return start_again(__file__, sys.argv[1:], "fuzz" if asked.guided else "")
    if asked.input is not None:
        return once(asked.input)
    if asked.guided:
        return guided(asked.guided)
    begin, count = (0, asked.streams) if asked.only is None else (asked.only, 1)
    return random_streams(asked.seed, range(begin, begin + count))


if __name__ == "__main__":
    sys.exit(main())
