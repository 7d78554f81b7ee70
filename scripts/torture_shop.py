"""One shop under torture: a machine, a log that grows from round to round, an operator, a witness.

A round starts the cockpit unless it runs, walks on for some seconds, lets one thing go wrong, walks
on, and holds the log against what was sent and what was confirmed.
"""

from __future__ import annotations

import contextlib
import resource
import shutil
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from torture_operator import LOOK_S, Operator
from torture_record import Record, Sent, Truth
from torture_screen import ARC, Look
from torture_witness import Witness

from tests.terminal.shop import Indicator
from tests.terminal.terminal import Terminal

ROOT = Path(__file__).resolve().parent.parent
#: Burnt at 24 mm a minute: a hole is over in half a minute of arc.
SCENE = ("--recess", "1", "--end", "14", "--bottom", "16", "--feed", "8", "--speed", "3")
#: Nothing that the cockpit does by itself takes longer, s.
PATIENCE_S = 20.0
#: A gauge is back so soon after its plug, s.
BACK_S = 2.0
#: At a kill so much is lost at most, and one look at the gauge, s.
LOST_S = 0.5 + 0.1
#: The screens on which every reading is kept; on others it is only looked at.
KEEPING = ARC | {"touch-off"}
#: The first arc comes within this, or the rounds begin without, s.
BEGINS_S = 60.0
#: Every so many rounds a second cockpit is started or, when none runs, verify is asked.
ASKS_EVERY = 5
#: A small disk holds so much; this file fills it.
DISK_BYTES = 64 * 2**20
FILLER = "filler"


@dataclass
class Tally:
    """What came of the rounds. Seconds are those of this computer's clock."""

    rounds: Counter[str] = field(default_factory=Counter)
    confirmed: int = 0
    sent: int = 0
    kept: int = 0
    lost_in_faults: Counter[str] = field(default_factory=Counter)
    kills_in_a_burn: int = 0
    lost_at_kills: list[tuple[int, float]] = field(default_factory=list)
    back_s: list[float] = field(default_factory=list)
    verified: int = 0
    refused: int = 0
    findings: list[str] = field(default_factory=list)


class Shop:
    """A worker's shop, in a folder of its own."""

    def __init__(
        self, number: int, seed: int, folder: Path, *, judge_times: bool, may_mount: bool
    ) -> None:
        self.tally = Tally()
        self.chance = Random(f"torture {seed} {number}")
        self.data = folder / "data"
        self.terminal: Terminal | None = None
        self.witness = Witness()
        self.faults: list[tuple[float, float]] = []
        self.judge_times = judge_times
        #: Whether a cockpit that is started now may say that the log can't be used, and end.
        self.may_refuse = False
        #: Whether somebody has pressed the key that ends it.
        self.is_leaving = False
        self._number, self._seed, self._folder = number, seed, folder
        self._round, self._fault = 0, ""
        self.data.mkdir(parents=True)
        # On a small disk of its own the log of every second shop; the others' on the usual one.
        self._has_disk = may_mount and number % 2 == 0 and self._mount()
        self._clock = folder / "clock"
        self._clock.write_text("0", encoding="ascii")
        self._port = folder / "port"
        self._truth = Truth(folder)
        self.record = Record(self.data, self._truth)
        self._indicator: Indicator | None = self._new_indicator()
        self._reported: set[str] = set()
        self.operator: Operator | None = None

    def _new_indicator(self) -> Indicator:
        truth = self._truth.new_file()
        seed = str(self.chance.randrange(10**6))
        return Indicator(truth, *SCENE, "--seed", seed, "--link", str(self._port))

    # The machine -------------------------------------------------------------------------------

    def machine(self, command: str) -> None:
        """A line for the simulator; while it is switched off, nobody hears."""
        if self._indicator is not None:
            self._indicator.say(command)

    def stop_gauge(self) -> None:
        """The gauge is switched off; what it sent stays known."""
        if self._indicator is not None:
            self._indicator.__exit__(None, None, None)
        self._indicator = None

    def start_gauge(self) -> None:
        """The gauge is switched on again, at the same port, over a hole that is not burnt yet."""
        self._indicator = self._new_indicator()

    def keeps_readings(self) -> bool:
        """Whether a screen is up that keeps what it reads, with the arc off too."""
        return self.operator is not None and self.operator.look.kind in KEEPING

    def read_again_s(self, back_s: float) -> float | None:
        """When the first reading in the log was read that was sent after this; s since 1970."""
        label = self.operator.look.label if self.operator is not None else ""
        hole = next((hole for hole, name in self.record.holes() if name == label), None)
        return None if hole is None else self.record.read_again_s(hole, back_s)

    def sent_since(self, wall_s: float) -> list[Sent]:
        """What the gauge has sent since then, s since 1970."""
        self._truth.catch_up()
        return self._truth.between(wall_s, float("inf"))

    def set_clock(self, off_s: float) -> None:
        """Put the date off by so much; the cockpit's, not the computer's."""
        self.record.steps.append((time.time(), off_s))
        new = self._clock.with_suffix(".new")
        new.write_text(f"{off_s}", encoding="ascii")
        new.replace(self._clock)

    # The disk ----------------------------------------------------------------------------------

    def _mount(self) -> bool:
        """Put the log on a small disk of its own, where that can be done."""
        size = f"size={DISK_BYTES}"
        command = ["mount", "-t", "tmpfs", "-o", size, "torture", str(self.data)]
        return (
            shutil.which("mount") is not None
            and not subprocess.run(command, capture_output=True, check=False).returncode
        )

    def fill_disk(self) -> Callable[[], None]:
        """Let nothing more be written; return what lets it again."""
        if self._has_disk and self.chance.random() < 0.5:
            return self._fill_with_a_file()
        assert self.terminal is not None
        pid = self.terminal.process.pid
        _, most = resource.prlimit(pid, resource.RLIMIT_FSIZE)
        wal = self.record.path.with_name(f"{self.record.path.name}-wal")
        size = wal.stat().st_size if wal.exists() else 0
        # No byte more in any file, or a little room where the log grows.
        limit = self.chance.choice((0, size, size + self.chance.randrange(65536)))
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (limit, most))

        def free() -> None:
            with contextlib.suppress(ProcessLookupError):
                resource.prlimit(pid, resource.RLIMIT_FSIZE, (most, most))

        return free

    def _fill_with_a_file(self) -> Callable[[], None]:
        filler = self.data / FILLER
        with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
            while True:
                file.write(bytes(4096))
        return filler.unlink

    def says_it_cannot_write(self) -> bool:
        """Whether the screen says so."""
        look = self.operator.look if self.operator else None
        return look is not None and ("log" in look.calls or "be written" in look.text)

    # The cockpit -------------------------------------------------------------------------------

    @property
    def runs(self) -> bool:
        """Whether the cockpit runs."""
        return self.terminal is not None and self.terminal.process.poll() is None

    def start(self) -> None:
        """Start the cockpit and wait for its first screen."""
        if self.terminal is not None:
            self.terminal.close()
        command = (sys.executable, ROOT / "scripts/torture_clock.py", self._clock)
        options = ("--data", self.data, "--gauge", "serial-decimal", "--port", self._port)
        self.terminal = Terminal([*command, *options], folder=ROOT)
        self.witness.restarted()
        self.is_leaving = False
        name = f"w{self._number}h"
        self.operator = Operator(self.terminal, self.machine, self.witness, self.chance, name)
        self.machine("stop")
        self.walk_until(lambda look: look.kind != "?", PATIENCE_S, why="no screen after a start")

    def walk(self, lasts_s: float) -> None:
        """Let the operator work on for so long."""
        self.walk_until(lambda _: False, lasts_s)

    def walk_until(self, seen: Callable[[Look], bool], within_s: float, *, why: str = "") -> bool:
        """Work on until the screen shows something; ``why``: what it is a finding to miss."""
        until_s = time.monotonic() + within_s
        while time.monotonic() < until_s:
            if self.has_ended():
                return False
            assert self.operator is not None
            try:
                self.operator.turn()
            except OSError:
                continue  # it has just ended: the next look tells
            if seen(self.operator.look):
                return True
        if why:
            self.find(why)
        return False

    def wait(self, lasts_s: float) -> None:
        """Look on for so long, without a hand at the keys."""
        until_s = time.monotonic() + lasts_s
        while time.monotonic() < until_s and self.runs:
            assert self.operator is not None
            self.operator.see()
            time.sleep(LOOK_S)

    def has_ended(self) -> bool:
        """Whether the cockpit has ended by itself: asked to, or a finding."""
        if self.runs:
            return False
        assert self.terminal is not None
        code = self.terminal.wait_exit()
        self.record.left(time.time())
        screen = self.terminal.screen()
        if self.may_refuse and code == 1 and "the log can't be" in screen:
            return True
        at_palette = self.operator is not None and self.operator.look.kind == "palette"
        if code or not (self.is_leaving or at_palette):
            self.find(f"the cockpit ended by itself, with {code}:\n{screen.strip()}")
        return True

    def kill(self) -> None:
        """Kill the cockpit; what it had shown by then is what it had confirmed."""
        assert self.terminal is not None
        assert self.operator is not None
        self.terminal.kill()
        killed_s = time.time()
        self.record.killed(killed_s)
        time.sleep(0.15)  # the terminal still reads what was written before
        self.operator.see()
        self.terminal.close()
        self._count_lost(killed_s, self.operator.look)

    def _count_lost(self, killed_s: float, look: Look) -> None:
        """How many of the readings sent in a burn the log has not got, and over how long."""
        self._truth.catch_up()
        if not look.arc_on or not self.witness.is_writable:
            return
        hole = next((hole for hole, label in self.record.holes() if label == look.label), None)
        kept = self.record.compare(hole, self.faults) if hole is not None else None
        if kept is not None and kept.last_s is not None:
            self.tally.kills_in_a_burn += 1
            lost = self._truth.between(kept.last_s + 0.0005, killed_s)
            age_s = killed_s - kept.last_s if lost else 0.0
            self.tally.lost_at_kills.append((len(lost), age_s))
            if self.judge_times and age_s > LOST_S:
                self.find(f"{len(lost)} readings of the last {age_s:.2f} s were lost at a kill")

    # Rounds ------------------------------------------------------------------------------------

    def begin(self) -> None:
        """Go as far as the first arc: most of what can be lost is in a burn."""
        self.start()
        self.walk_until(lambda look: bool(look.arc_on), BEGINS_S)

    def round(self, number: int, fault: str, strike: Callable[[Shop], None]) -> None:
        """One round with one fault."""
        self._round, self._fault = number, fault
        self.tally.rounds[fault] += 1
        if not self.runs:
            self.start()
        self.walk(self.chance.uniform(1.5, 4.0))
        if self.chance.random() < 0.5:
            # Most of a shop's time is set-up; most of what can be lost is in the burn.
            self.walk_until(lambda look: bool(look.arc_on), 6.0)
        if self.runs:
            strike(self)
        if self.runs:
            self.walk(self.chance.uniform(0.5, 1.5))
        self.check()

    def close(self) -> None:
        """End everything, and count."""
        if self.terminal is not None:
            was_running = self.runs
            self.terminal.close()
            if was_running:
                self.record.killed(time.time())
        self.stop_gauge()
        self._truth.catch_up()
        self._compare_all()
        self.tally.sent = len(self._truth.sent)
        self.tally.confirmed = self.witness.confirmed
        if self._has_disk:
            shutil.copytree(self.data, self._folder / "log", ignore=shutil.ignore_patterns(FILLER))
            subprocess.run(["umount", str(self.data)], check=False)

    # Checks ------------------------------------------------------------------------------------

    def check(self) -> None:
        """Hold the log against what was sent and confirmed."""
        self._truth.catch_up()
        if not self.record.path.exists():
            return
        for claim, wanted, found in self.record.missing(self.witness.claims):
            self.find(f"confirmed, and not in the log: {claim}, {found} instead of {wanted}")
            self.witness.claims[claim] = found
        for oddity in self.witness.oddities:
            self.find(oddity)
        self.witness.oddities.clear()
        for trouble in self.record.unsound():
            self.find(f"the log is not sound: {trouble}")
        self._bench_counts()
        self._compare_all(newest=3)
        if self._round % ASKS_EVERY == 0:
            (self._second_is_refused if self.runs else self._verify)()

    def _bench_counts(self) -> None:
        """What the bench says of the shift, beside the rows in their own order."""
        look = self.operator.look if self.operator else None
        if look is None or look.kind != "bench" or not self.runs or not self.witness.is_writable:
            return
        shown = (look.finds(r"(\d+) closed this shift"), look.finds(r"(\d+) to do"))
        closed, waiting = self.record.closed_and_waiting()
        if "" not in shown and shown != (str(closed), str(waiting)):
            self.find(
                f"the bench says {shown[1]} waiting, {shown[0]} closed this shift; "
                f"the log {waiting} and {closed}"
            )

    def _compare_all(self, newest: int = 10**6) -> None:
        kept_of_all = 0
        for hole_id, label in self.record.holes()[-newest:]:
            kept = self.record.compare(hole_id, self.faults)
            kept_of_all += kept.readings
            for wrong in kept.wrong:
                self.find(f"{label}: {wrong}")
            if kept.readings < self.witness.readings.get(label, 0):
                shown = self.witness.readings.pop(label)
                self.find(f"{label}: {shown} readings were shown, {kept.readings} are in the log")
            self.tally.lost_in_faults[label] = kept.lost
        self.tally.kept = kept_of_all

    def _verify(self) -> None:
        """Ask the program itself."""
        command = [sys.executable, "-m", "cockpit", "--data", str(self.data), "verify"]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        self.tally.verified += 1
        if done.returncode:
            bad = [row for row in done.stdout.splitlines() if row.startswith("BAD")]
            self.find(f"verify says: {'; '.join(bad) or done.stderr.strip()}")

    def _second_is_refused(self) -> None:
        """Another cockpit can't have the log that this one has."""
        command = [sys.executable, "-m", "cockpit", "--data", str(self.data)]
        done = subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=PATIENCE_S
        )
        self.tally.refused += 1
        if done.returncode != 1 or "another cockpit has this log open" not in done.stderr:
            self.find(f"a second cockpit was let in, or said: {done.stderr.strip()}")

    def find(self, what: str) -> None:
        """Note a finding once, with the folder as it stands and what was done before."""
        if what in self._reported:
            return
        self._reported.add(what)
        where = f"seed {self._seed}, worker {self._number}, round {self._round}, {self._fault}"
        self.tally.findings.append(f"{where}: {what}")
        print(f"FINDING ({where}): {what}", flush=True)
        folder = self._folder / f"finding-{len(self.tally.findings)}"
        shutil.copytree(self.data, folder, ignore=shutil.ignore_patterns(FILLER))
        if self.operator is not None:
            faults = f"faults {self.faults}\ndates put off {self.record.steps}"
            now = f"{time.time():.3f}"
            said = [what, faults, *self.operator.diary, now, self.operator.look.text]
            (folder / "told.txt").write_text("\n".join(said), encoding="utf-8")
