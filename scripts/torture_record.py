"""The log beside what the simulator sent and what the screen confirmed.

The file is read as any other program could, read-only, while the cockpit runs or after it was
killed. When a reading was sent is told by the simulator's own file, on this computer's clock; when
it was kept, by the hole's clock and the date at which that began, less what the date was off by.
"""

from __future__ import annotations

import csv
import sqlite3
import time
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise
from pathlib import Path

from torture_witness import Claim

from cockpit.burn.reading import STOPPING, Mark, MarkKind, Reading
from cockpit.log import questions
from cockpit.log.rows import BurnEnd

#: A reading is kept so long after it was sent, at most; a hole is taken up so long, at most; s.
LATE_S = 3.0
#: No reading is kept sooner than it was sent; but a clock may be read a moment later, s.
EARLY_S = 0.05
#: What a fault of the line may cost before it and after it is over, s. It is promised that the
#: gauge is read again within 2 s of being back.
BEFORE_A_FAULT_S, AFTER_A_FAULT_S = 1.5, 2.5
#: What was sent so shortly before the arc clock was switched may be on the other side of it, s.
SWITCHED_S = 0.5
#: What a program that is killed has not yet written, s; and so late a busy computer may be, s.
UNWRITTEN_S, BUSY_S = 0.5, 1.0

_OF = "hole_id = (SELECT max(hole_id) FROM tickets WHERE label = :of)"
#: How many rows there are of what can be claimed.
_COUNTS = {
    "shift": "SELECT count(*) FROM shifts WHERE operator = :of",
    "shift end": "SELECT count(*) FROM shift_ends WHERE handover = :says",
    "hole": "SELECT count(*) FROM holes h JOIN tickets t ON t.hole_id = h.id WHERE t.label = :of",
    "step": f"SELECT count(*) FROM steps WHERE {_OF} AND step = :says",
    "plan": f"SELECT count(*) FROM plans WHERE {_OF}",
    "check": f"SELECT count(*) FROM checks WHERE {_OF} AND title = :says",
    "daily": "SELECT count(*) FROM checks WHERE hole_id IS NULL AND title = :says",
    "cleaned": f"SELECT count(*) FROM checks WHERE {_OF} AND item LIKE 'clean-out %'",
    "arc on": f"SELECT min((SELECT count(*) FROM burns WHERE {_OF}), "
    f"(SELECT count(*) FROM marks WHERE {_OF} AND mark = 'start'))",
    "arc off": "SELECT min((SELECT count(*) FROM burn_ends e JOIN burns b ON b.id = e.burn_id "
    f"WHERE {_OF}), (SELECT count(*) FROM marks WHERE {_OF} AND mark = 'stop'))",
    "measured": f"SELECT count(*) FROM marks WHERE {_OF} AND mark = :says",
    # What the screen offered, and what was taken of a tip that stands still: 0.06 mm apart at most.
    "touched at": f"SELECT count(*) FROM marks WHERE {_OF} AND mark = 'touch' "
    "AND abs(value_um - CAST(:says AS REAL)) <= 60",
    "centre": f"SELECT count(*) FROM centres WHERE {_OF}",
    "outcome": f"SELECT count(*) FROM outcomes WHERE {_OF} AND outcome = :says",
    "note": f"SELECT count(*) FROM notes WHERE {_OF} AND text = :says",
    "call": f"SELECT count(*) FROM calls WHERE {_OF} AND call = :says",
}


@dataclass(frozen=True, slots=True)
class Sent:
    """A reading that somebody listened to: when (s since 1970), what, and whether an arc burnt."""

    wall_s: float
    travel_um: int
    arc_on: bool = True


class Truth:
    """All that the simulators of one shop sent, in order; each writes a file of its own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._read: dict[Path, int] = {}
        self.sent: list[Sent] = []

    def new_file(self) -> Path:
        """Where the next simulator is to write."""
        path = self._folder / f"truth-{len(self._read) + 1}.csv"
        self._read[path] = 0
        return path

    def catch_up(self) -> None:
        """Read what was sent since the last time, of whole lines only."""
        for path, begin in self._read.items():
            if not path.exists():
                continue
            with path.open("rb") as file:
                file.seek(begin)
                whole = file.read().rpartition(b"\n")[0]
            lines = whole.decode("ascii").splitlines()
            self._read[path] += len(whole) + bool(whole)
            for wall_s, _, travel_mm, arc_on, _ in csv.reader(lines):
                if wall_s != "wall_time_s":
                    travel_um = round(float(travel_mm) * 1000)
                    self.sent.append(Sent(float(wall_s), travel_um, arc_on == "1"))

    def from_s(self, wall_s: float) -> int:
        """The place of the first reading that was sent then or later."""
        return bisect_left(self.sent, wall_s, key=_sent_s)

    def between(self, begin_s: float, end_s: float) -> list[Sent]:
        """What was sent in that time."""
        return self.sent[self.from_s(begin_s) : self.from_s(end_s)]


@dataclass(frozen=True, slots=True)
class Burn:
    """A burn as the log has it: its readings with when they were kept; all s since 1970.

    ``begin_s``, ``end_s``: what was sent between these must be there.
    """

    begin_s: float
    kept: list[tuple[float, int]]
    end_s: float


@dataclass
class Kept:
    """How one hole's readings compare. ``wrong``: sentences; ``lost``: gaps in a burn, explained.

    ``in_burns``: how many of the readings came with the arc on. ``last_s``: when the last reading
    of its last burn was sent, or that burn began if it has none, s since 1970.
    """

    readings: int = 0
    in_burns: int = 0
    wrong: list[str] = field(default_factory=list)
    lost: int = 0
    last_s: float | None = None


class Record:
    """The log of one shop. ``steps``: when the date was put off, and by how much; s."""

    def __init__(self, data: Path, truth: Truth) -> None:
        self.path = data / "shop.sqlite3"
        self.steps: list[tuple[float, float]] = [(time.time(), 0.0)]
        #: Since when the disk is full, s since 1970.
        self.full_since_s = float("inf")
        #: When a cockpit ended, and until when it had written; None where it wrote that itself.
        self._ends: list[tuple[float, float | None]] = []
        self._truth = truth

    @contextmanager
    def open(self) -> Iterator[sqlite3.Connection]:
        """The file, to be read only, as it is at one moment: readings are folded meanwhile."""
        uri = f"{self.path.absolute().as_uri()}?mode=ro"
        with closing(
            sqlite3.connect(uri, uri=True, timeout=10, isolation_level=None)
        ) as connection:
            connection.execute("BEGIN")
            yield connection

    def killed(self, killed_s: float) -> None:
        """Note that the cockpit was killed then; the last moment before is not in the log."""
        until_s = min(killed_s, self.full_since_s) - UNWRITTEN_S - BUSY_S
        self._ends.append((killed_s, until_s))

    def left(self, left_s: float) -> None:
        """Note that the cockpit was left then: it has written all, and the end of a burn too."""
        self._ends.append((left_s, None))

    def unsound(self) -> list[str]:
        """What SQLite itself finds wrong."""
        with self.open() as log:
            found = [str(row[0]) for row in log.execute("PRAGMA integrity_check") if row[0] != "ok"]
            keys = log.execute("PRAGMA foreign_key_check").fetchall()
        return found + [f"a key that leads nowhere: {row}" for row in keys]

    # What was confirmed ------------------------------------------------------------------------

    def missing(self, claims: Mapping[Claim, int]) -> list[tuple[Claim, int, int]]:
        """The claims that the log does not bear out: what, how many there must be, and are."""
        with self.open() as log:
            counted = [(claim, many, _count(log, claim)) for claim, many in claims.items()]
        return [one for one in counted if one[2] < one[1]]

    def closed_and_waiting(self) -> tuple[int, int]:
        """Holes closed in the newest shift, and holes that wait; in the order of the rows alone."""
        last = "(SELECT outcome FROM outcomes o WHERE o.hole_id = h.id ORDER BY id DESC LIMIT 1)"
        shift = "(SELECT shift_id FROM outcomes o WHERE o.hole_id = h.id ORDER BY id DESC LIMIT 1)"
        with self.open() as log:
            (closed,) = log.execute(
                f"SELECT count(*) FROM holes h WHERE {last} <> 'left for later' "
                f"AND {shift} = (SELECT max(id) FROM shifts)"
            ).fetchone()
            (waiting,) = log.execute(
                f"SELECT count(*) FROM holes h WHERE coalesce({last}, 'left for later') "
                "= 'left for later'"
            ).fetchone()
        return int(closed), int(waiting)

    # What was sent -----------------------------------------------------------------------------

    def holes(self) -> list[tuple[int, str]]:
        """Every hole with its label."""
        with self.open() as log:
            rows = log.execute(
                "SELECT hole_id, label FROM tickets WHERE corrects IS NULL ORDER BY hole_id"
            ).fetchall()
        return [(int(hole), str(label)) for hole, label in rows]

    def compare(self, hole_id: int, faults: list[tuple[float, float]]) -> Kept:
        """One hole's readings beside what was sent. ``faults``: when the line was disturbed."""
        read_s = time.time()
        with self.open() as log:
            began, timed = self._timed(log, hole_id)
            rows = questions.burns(log, hole_id)
        # After the log was read: what it has was sent before.
        self._truth.catch_up()
        kept = Kept(readings=sum(isinstance(event, Reading) for _, event in timed))
        self._all_were_sent(kept, timed)
        if kept.wrong:
            return kept  # what was not sent can't be held against what was
        for row, (begin_s, readings, stop_s) in zip(rows, _burns(timed), strict=True):
            kept.in_burns += len(readings)
            if row.how is None or row.how == BurnEnd.CUT_SHORT:
                sat_down_s = _sitting(began, row.start_s)[0]
                stop_s = self._cut_short_s(sat_down_s, read_s if row.how is None else stop_s)
            else:
                stop_s -= SWITCHED_S
            self._none_was_left_out(kept, Burn(begin_s + SWITCHED_S, readings, stop_s), faults)
        return kept

    def read_again_s(self, hole_id: int, back_s: float) -> float | None:
        """When the first reading of a hole was read that was sent after the gauge was back."""
        with self.open() as log:
            _, timed = self._timed(log, hole_id)
        self._truth.catch_up()
        for wall_s, event in timed:
            if wall_s >= back_s and isinstance(event, Reading):
                told = self._truth.between(back_s, wall_s + EARLY_S)
                if round(event.travel_mm * 1000) in {one.travel_um for one in told}:
                    return wall_s
        return None

    def _timed(
        self, log: sqlite3.Connection, hole_id: int
    ) -> tuple[list[tuple[float, float]], list[tuple[float, Reading | Mark]]]:
        """A hole's sittings, and all that happened in it, with when that was; s since 1970."""
        sittings = log.execute(
            "SELECT at_utc, t_ms FROM sittings WHERE hole_id = ? ORDER BY id", (hole_id,)
        ).fetchall()
        began = [(self._real_s(str(utc)), int(t_ms) / 1000) for utc, t_ms in sittings]
        events = [event for _, event in questions.events(log, hole_id)]
        return began, [(_wall_s(began, event.t_s), event) for event in events]

    def _cut_short_s(self, sat_down_s: float, else_s: float) -> float:
        """Until when the log must have what was sent in a burn that nobody has ended."""
        for ended_s, until_s in self._ends:
            if ended_s > sat_down_s:
                return else_s - SWITCHED_S if until_s is None else until_s
        return min(else_s, self.full_since_s) - UNWRITTEN_S - BUSY_S

    def _real_s(self, utc: str) -> float:
        """When a date was written, on this computer's clock: s since 1970."""
        written_s = datetime.fromisoformat(utc).timestamp()
        ends = [begin_s for begin_s, _ in self.steps[1:]] + [float("inf")]
        for (begin_s, off_s), end_s in zip(self.steps, ends, strict=True):
            if begin_s - 1.0 <= written_s - off_s <= end_s + 1.0:
                return written_s - off_s
        return written_s

    def _all_were_sent(self, kept: Kept, timed: list[tuple[float, Reading | Mark]]) -> None:
        """Each reading was sent, at about that time, in that order, and is not there twice."""
        sent, at = self._truth.sent, 0
        for wall_s, event in timed:
            if not isinstance(event, Reading):
                continue
            travel_um = round(event.travel_mm * 1000)
            at = max(at, self._truth.from_s(wall_s - LATE_S))
            first = at
            while at < len(sent) and sent[at].wall_s <= wall_s + EARLY_S:
                if sent[at].travel_um == travel_um:
                    break
                at += 1
            else:
                kept.wrong.append(
                    f"a reading of {travel_um} µm at {event.t_s:.3f} s of the hole was not sent "
                    f"then (of {at - first} that were)"
                )
                return
            at += 1

    def _none_was_left_out(self, kept: Kept, burn: Burn, faults: list[tuple[float, float]]) -> None:
        """A burn's readings follow one another as they were sent; only the line's faults part."""
        first_s = min([burn.begin_s, *(wall_s for wall_s, _ in burn.kept[:1])])
        last_s = max([burn.end_s, *(wall_s + EARLY_S for wall_s, _ in burn.kept[-1:])])
        told = self._truth.between(first_s - LATE_S, last_s)
        runs = _runs(told, burn.kept)
        kept.last_s = told[runs[-1][1] - 1].wall_s if runs else burn.begin_s
        is_wrong = False
        for where, gap in _gaps(told, runs, burn):
            kept.lost += len(gap)
            if gap and not _is_about(faults, gap[0].wall_s, gap[-1].wall_s):
                is_wrong = True
                kept.wrong.append(
                    f"{len(gap)} readings were left out {where} of a burn, "
                    f"{gap[-1].wall_s - gap[0].wall_s:.2f} s"
                )
        # Where nobody listens, nothing is sent that could be left out.
        silent_s = _longest_silence_s(burn, faults)
        if silent_s > LATE_S and not is_wrong:
            kept.wrong.append(f"nothing was read for {silent_s:.2f} s of a burn on a sound line")


def _count(log: sqlite3.Connection, claim: Claim) -> int:
    what, of, says = claim
    (count,) = log.execute(_COUNTS[what], {"of": of, "says": says}).fetchone()
    return int(count or 0)


def _sitting(began: list[tuple[float, float]], t_s: float) -> tuple[float, float]:
    """The sitting that a moment of the hole's clock belongs to."""
    return [one for one in began if one[1] <= t_s + 0.0005][-1]


def _wall_s(began: list[tuple[float, float]], t_s: float) -> float:
    """A moment of the hole's clock, s since 1970."""
    wall_s, begin_s = _sitting(began, t_s)
    return wall_s + t_s - begin_s


def _burns(
    timed: Iterable[tuple[float, Reading | Mark]],
) -> Iterator[tuple[float, list[tuple[float, int]], float]]:
    """The stretches between start and stop: when they began, their readings, when they ended."""
    begin_s, last_s = 0.0, 0.0
    kept: list[tuple[float, int]] | None = None
    for wall_s, event in timed:
        last_s = wall_s
        if isinstance(event, Reading):
            if kept is not None:
                kept.append((wall_s, round(event.travel_mm * 1000)))
        elif event.kind is MarkKind.START:
            begin_s, kept = wall_s, []
        elif event.kind in STOPPING:
            yield begin_s, kept or [], wall_s
            kept = None
    if kept is not None:
        yield begin_s, kept, last_s


def _runs(told: list[Sent], kept: list[tuple[float, int]]) -> list[tuple[int, int]]:
    """Where in what was sent the readings are that were kept, in as few runs as can be.

    Each was sent about then; of a head that stood still, as late as can be.
    """
    breaks: dict[int, int] = {}
    leads: list[dict[int, int]] = []
    for wall_s, travel_um in reversed(kept):
        begin = bisect_left(told, wall_s - LATE_S, key=_sent_s)
        end = bisect_right(told, wall_s + EARLY_S, key=_sent_s)
        places = [at for at in range(begin, end) if told[at].travel_um == travel_um]
        breaks, lead = _before(places, breaks) if leads else (dict.fromkeys(places, 0), {})
        leads.append(lead)
    if not breaks:
        return []
    at = min(breaks, key=lambda place: (breaks[place], -place))
    runs = [(at, at + 1)]
    for lead in reversed(leads[1:]):
        at = lead[at]
        runs.append((runs.pop()[0] if at == runs[-1][1] else at, at + 1))
    return runs


def _before(places: list[int], breaks: dict[int, int]) -> tuple[dict[int, int], dict[int, int]]:
    """One reading's places, when those of the next have so many breaks after them: the same of it.

    And of each place the next reading's that it leads to.
    """
    here: dict[int, int] = {}
    lead: dict[int, int] = {}
    later = sorted(breaks)
    best: int | None = None
    for at in reversed(places):
        while later and later[-1] > at + 1:
            place = later.pop()
            best = place if best is None or breaks[place] < breaks[best] else best
        if at + 1 in breaks and (best is None or breaks[at + 1] <= breaks[best] + 1):
            here[at], lead[at] = breaks[at + 1], at + 1
        elif best is not None:
            here[at], lead[at] = breaks[best] + 1, best
    return here, lead


def _sent_s(one: Sent) -> float:
    return one.wall_s


def _gaps(
    told: list[Sent], runs: list[tuple[int, int]], burn: Burn
) -> Iterator[tuple[str, list[Sent]]]:
    """What was sent in a burn and was not kept, and where in it that is."""
    if not runs:
        yield "in all", [one for one in told if burn.begin_s <= one.wall_s < burn.end_s]
        return
    yield "at the beginning", [one for one in told[: runs[0][0]] if one.wall_s >= burn.begin_s]
    for (_, begin), (end, _) in pairwise(runs):
        yield "in the middle", told[begin:end]
    yield "at the end", [one for one in told[runs[-1][1] :] if one.wall_s < burn.end_s]


def _longest_silence_s(burn: Burn, faults: list[tuple[float, float]]) -> float:
    """For how long at most nothing was kept of a burn, but for what a fault explains; s."""
    kept_s = [wall_s for wall_s, _ in burn.kept if burn.begin_s < wall_s < burn.end_s]
    silences = pairwise([burn.begin_s, *kept_s, burn.end_s])
    return max(_unexplained_s(faults, begin_s, end_s) for begin_s, end_s in silences)


def _unexplained_s(faults: list[tuple[float, float]], begin_s: float, end_s: float) -> float:
    """How much of this time no fault covers; faults don't come two at a time."""
    covered_s = (
        min(end_s, last_s + AFTER_A_FAULT_S) - max(begin_s, first_s - BEFORE_A_FAULT_S)
        for first_s, last_s in faults
    )
    return end_s - begin_s - sum(max(0.0, one) for one in covered_s)


def _is_about(faults: list[tuple[float, float]], begin_s: float, end_s: float) -> bool:
    """Whether one fault explains all of this time."""
    return any(
        first_s - BEFORE_A_FAULT_S <= begin_s and end_s <= last_s + AFTER_A_FAULT_S
        for first_s, last_s in faults
    )
