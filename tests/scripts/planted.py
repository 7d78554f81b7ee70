"""A log and what was sent, made to measure: what is wrong with it must be found."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

from torture_record import Record, Truth

from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log.rows import BurnEnd, BurnKind
from cockpit.log.store import Store
from cockpit.trade.remnants import Kind
from cockpit.trade.ticket import Ticket


class Planted:
    """A log and what was sent, made to measure."""

    def __init__(self, folder: Path) -> None:
        self.truth = Truth(folder)
        self._file = self.truth.new_file()
        self.record = Record(folder, self.truth)
        self.store = Store(self.record.path)
        self.shift = self.store.open_shift("MT", "standard", "serial-decimal")
        job = self.store.add_job(self.shift, "Elderbeck", "EF-31", "block")
        ticket = Ticket(hole="foot 2", thread="M10x1.5", broken=Kind.TAP, depth_mm=7.0)
        self.hole = self.store.add_hole(self.shift, job, ticket, "plan")
        self.store.add_sitting(self.shift, self.hole, 0.0)
        # As the log has it, so that no busy computer can shift one beside the other.
        (utc,) = self.store.connection.execute("SELECT at_utc FROM sittings").fetchone()
        self.began_s = datetime.fromisoformat(utc).timestamp()

    def sent(self, travels_um: list[int], places: Iterable[int] | None = None) -> None:
        """Readings, one after the other, or each at its place."""
        rows = [
            f"{self.began_s + 0.1 * n:.3f},{0.1 * n:.3f},{um / 1000:.4f},1,0.0\n"
            for n, um in zip(places or range(len(travels_um)), travels_um, strict=True)
        ]
        self._file.write_text("".join(rows), encoding="ascii")
        self.truth.catch_up()

    def kept(
        self,
        rows: list[tuple[int, int]],
        every_s: float = 0.1,
        stop_s: float | None = 4.0,
        how: BurnEnd = BurnEnd.OPERATOR,
    ) -> None:
        """A burn's readings, each with its place among those sent; without a stop it is open."""
        start = Mark.at(0.05, MarkKind.START)
        burn = self.store.open_burn(self.shift, self.hole, BurnKind.BURN, 0, start)
        readings = [
            (seq, Reading.at(every_s * place + 0.06, um / 1000))
            for seq, (place, um) in enumerate(rows, 1)
        ]
        self.store.add_readings(self.hole, readings)
        if stop_s is not None:
            stop = Mark.at(stop_s, MarkKind.STOP)
            self.store.close_burn(self.shift, self.hole, burn, how, len(readings) + 1, stop)

    def wrong(self, *faults: tuple[float, float]) -> list[str]:
        return self.record.compare(self.hole, list(faults)).wrong
