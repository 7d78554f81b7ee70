"""What happened in a burn and is not in the log yet.

It goes there in one piece: a reading never without the call that it raised. What the disk does not
take stays here, in order and with its date, and is tried again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial

from cockpit.burn.calls import Call
from cockpit.burn.reading import Mark, Reading
from cockpit.flow.clock import Clock
from cockpit.log.rows import BurnEnd, BurnKind, SwitchedBy
from cockpit.log.store import Store


class Outbox:
    """The way of one hole's readings, marks and calls into the log."""

    def __init__(self, store: Store, shift_id: int, hole_id: int, clock: Clock) -> None:
        self._store = store
        self._shift_id = shift_id
        self._hole_id = hole_id
        self._clock = clock
        self._readings: list[tuple[int, Reading]] = []
        self._deeds: list[tuple[datetime, Callable[[], object]]] = []

    def __len__(self) -> int:
        """How many things wait."""
        return len(self._readings) + len(self._deeds)

    @property
    def deeds(self) -> int:
        """How many of them are more than readings: marks and calls."""
        return len(self._deeds)

    def reading(self, seq: int, reading: Reading) -> None:
        """A reading came."""
        self._readings.append((seq, reading))

    def start(self, kind: BurnKind, seq: int, mark: Mark, by: SwitchedBy) -> None:
        """The arc clock started."""
        self._put(self._store.open_burn, kind, seq, mark, by)

    def stop(self, seq: int, mark: Mark, by: SwitchedBy | None) -> None:
        """The arc clock was stopped; by nobody, where the burn is cut short."""
        self._put(self._close_burn, seq, mark, by)

    def mark(self, seq: int, mark: Mark) -> None:
        """The operator measured or changed something."""
        self._put(self._store.add_mark, seq, mark)

    def calls(self, calls: Sequence[Call]) -> None:
        """Calls were raised."""
        self._put(self._store.add_calls, calls)

    def _put(self, deed: Callable[..., object], *what: object) -> None:
        self._deeds.append((self._clock.utc(), partial(deed, self._shift_id, self._hole_id, *what)))

    def _close_burn(
        self, shift_id: int, hole_id: int, seq: int, mark: Mark, by: SwitchedBy | None
    ) -> None:
        burn_id = self._store.open_burn_of(hole_id)
        if burn_id is None:
            raise AssertionError(f"hole {hole_id}: no burn is open that could be stopped")
        how = BurnEnd.CUT_SHORT if by is None else BurnEnd.OPERATOR
        self._store.close_burn(shift_id, hole_id, burn_id, how, seq, mark, by)

    def send(self) -> None:
        """Put all that waits on the disk. Raises LogError, and then all of it waits on."""
        if not len(self):
            return
        with self._store.together():
            self._store.add_readings(self._hole_id, self._readings)
            for happened, deed in self._deeds:
                with self._store.dated(happened):
                    deed()
        self._readings.clear()
        self._deeds.clear()
