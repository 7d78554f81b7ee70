"""Tortures the cockpit, and holds its log against what was sent and what was confirmed.

    python3 scripts/torture.py                  # 200 rounds in 2 shops: a quarter of an hour or so
    python3 scripts/torture.py --rounds 12      # each fault once in each shop

The real program in a real terminal, a pretended indicator on a pseudo-terminal, and an operator who
presses what the bottom line says, and now and then what it does not say. Each shop keeps one log
over all its rounds. In each round one thing goes wrong: the program is killed at any moment, or
left by its key; the gauge is unplugged, or switched off and on; its line brings garbage; the disk
is full and freed; the clock on the wall is put hours or days wrong (the cockpit's date, by a
launcher: the computer's own clock is left alone). Every second shop keeps its log on a small disk,
where that can be mounted.

After each round and at the end: every reading in the log was sent, in that order, about then, and
none is there twice; nothing is left out of a burn but what the line lost while it was disturbed,
and no burn is without readings on a sound line; after a fault readings are in the log again; every
confirmation that was seen on the screen has its row; readings that the screen counted are there;
SQLite and the cockpit's own verify find the file sound.

A finding is printed with seed, worker, round and fault, its folder is kept, and the exit code is 1.
"""

import argparse
import shutil
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from oldest_python import require_python

if TYPE_CHECKING:
    from torture_shop import Tally

ROOT = Path(__file__).resolve().parent.parent


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    add = parser.add_argument
    add("--rounds", type=int, default=200, help="how many rounds, of all shops together (200)")
    add("--seed", type=int, default=int(time.time()) % 100_000, help="what chance follows from")
    add("--workers", type=int, default=2, help="how many shops at once (2)")
    add("--keep", type=Path, metavar="DIR", help="keep logs and all here, findings or not")
    add("--untimed", action="store_true", help="judge nothing by the clock: on a busy computer")
    add("--no-mount", action="store_true", help="mount no small disk, even where that can be done")
    add("--here", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def torture(number: int, asked: argparse.Namespace, folder: Path) -> "Tally":
    """All rounds of one shop: each fault in turn, in an order of chance, again and again."""
    from torture_faults import FAULTS
    from torture_shop import Shop

    # Ctrl+C is for the one who started this, who ends it with SIGTERM: then all is put away.
    signal.signal(signal.SIGINT, lambda *_: None)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    shop = Shop(
        number,
        asked.seed,
        folder / f"shop-{number}",
        judge_times=not asked.untimed,
        may_mount=not asked.no_mount,
    )
    faults: list[str] = []
    try:
        shop.begin()
        for turn in range(number, asked.rounds, asked.workers):
            if not faults:
                faults = shop.chance.sample(sorted(FAULTS), len(FAULTS))
            fault = faults.pop()
            shop.round(turn, fault, shop.chance.choice(FAULTS[fault]))
    finally:
        shop.close()
    return shop.tally


def _line(name: str, said: str) -> None:
    print(f"  {name:<38}{said}", flush=True)


def tell(tallies: "list[Tally]", lasted_s: float) -> int:
    """Print what came of it; return the number of findings."""
    rounds = sum((tally.rounds for tally in tallies), start=type(tallies[0].rounds)())
    total = sum(rounds.values())
    print(
        f"torture: {total} rounds, {len(tallies)} shops, {lasted_s / max(total, 1):.1f} s a round"
    )
    for fault, many in sorted(rounds.items()):
        _line(fault, f"{many} rounds")
    lost = [one for tally in tallies for one in tally.lost_at_kills]
    back_s = [one for tally in tallies for one in tally.back_s]
    _line("confirmations seen, and looked for", f"{sum(t.confirmed for t in tallies)}")
    _line("readings sent", f"{sum(t.sent for t in tallies)}")
    _line("  kept, each one sent", f"{sum(t.kept for t in tallies)}")
    in_faults = sum(sum(t.lost_in_faults.values()) for t in tallies)
    _line("  lost on a disturbed line in a burn", f"{in_faults}")
    _line("killed in mid-burn", f"{sum(t.kills_in_a_burn for t in tallies)} times")
    if lost:
        _line("  readings lost then, most", f"{max(one for one, _ in lost)}")
        _line("  the last one kept was so old, most", f"{max(s for _, s in lost):.2f} s")
    if back_s:
        seen = f"{max(back_s):.2f} s after it was back ({len(back_s)} times seen)"
        _line("gauge read again, most", seen)
    _line("verify asked", f"{sum(t.verified for t in tallies)} times")
    _line("a second cockpit refused", f"{sum(t.refused for t in tallies)} times")
    findings = [one for tally in tallies for one in tally.findings]
    _line("findings", f"{len(findings)}")
    return len(findings)


def run(asked: argparse.Namespace) -> int:
    """Torture, in as many processes as there are shops."""
    from multiprocessing import Pool

    sys.path.insert(0, str(ROOT))
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    folder = asked.keep or Path(tempfile.mkdtemp(prefix="torture-"))
    folder.mkdir(parents=True, exist_ok=True)
    print(f"seed {asked.seed}; logs in {folder}", flush=True)
    began_s = time.monotonic()
    jobs = [(number, asked, folder) for number in range(asked.workers)]
    with Pool(asked.workers) as pool:
        tallies: list[Any] = pool.starmap(torture, jobs, chunksize=1)
    findings = tell(tallies, time.monotonic() - began_s)
    if findings:
        print(f"What was found is kept in {folder}.")
    elif not asked.keep:
        shutil.rmtree(folder)
    return 1 if findings else 0


def main() -> int:
    """Run in the project's own environment."""
    require_python()
    from environment import start_again  # late: it needs today's Python

    asked = arguments()
    return run(asked) if asked.here else start_again(__file__, sys.argv[1:], "dev")


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
