"""A Modbus device for the tests: the library's own server, on a pseudo-terminal or a network port.

It runs in a thread of its own. What it holds and how it behaves is changed from outside, by plain
assignment.
"""

from __future__ import annotations

import asyncio
import os
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import cast

from pymodbus.constants import ExcCodes
from pymodbus.server import ModbusSerialServer, ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

#: The device's number, and where its two kinds of registers begin; it has two of each.
DEVICE, HOLDING, INPUT = 1, 0, 10


class ModbusDevice:
    """Device 1 with two holding registers from 0 and two input registers from 10.

    ``words``: what is in the two registers of either kind. ``late_s``: how long an answer takes.
    ``refuse``: the exception that is its answer. ``spoil``: what becomes of each frame it sends.
    ``asked_s``: when each question came.
    """

    def __init__(self) -> None:
        self.port = ""
        self.words = [0, 0]
        self.late_s = 0.0
        self.refuse: ExcCodes | None = None
        self.spoil: Callable[[bytes], bytes] = lambda frame: frame
        self.asked_s: list[float] = []
        self.most_at_once = 0
        self._at_once = 0
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._over = asyncio.Event()

    async def _answer(
        self,
        _function: int,
        start: int,
        address: int,
        count: int,
        held: list[int],
        _written: list[int] | list[bool] | None,
    ) -> ExcCodes | None:
        self.asked_s.append(time.monotonic())
        self._at_once += 1
        self.most_at_once = max(self.most_at_once, self._at_once)
        first, words = address - start, list(self.words)
        await asyncio.sleep(self.late_s)
        self._at_once -= 1
        held[first : first + count] = words[first : first + count]
        return self.refuse

    def _device(self) -> SimDevice:
        bits = [SimData(0, values=[False] * 16, datatype=DataType.BITS)]
        holding, given = (
            [SimData(at, count=2, datatype=DataType.REGISTERS)] for at in (HOLDING, INPUT)
        )
        return SimDevice(DEVICE, (bits, list(bits), holding, given), action=self._answer)

    def _frame(self, sending: bool, frame: bytes) -> bytes:
        return self.spoil(frame) if sending else frame

    async def _serve(self, path: str | None) -> None:
        server: ModbusSerialServer | ModbusTcpServer
        if path is not None:
            server = ModbusSerialServer(self._device(), port=path, trace_packet=self._frame)
            self.port = path
        else:
            address = ("127.0.0.1", 0)
            server = ModbusTcpServer(self._device(), address=address, trace_packet=self._frame)
        await server.serve_forever(background=True)
        if path is None:
            listener = cast(asyncio.Server, server.transport)
            self.port = f"tcp://127.0.0.1:{listener.sockets[0].getsockname()[1]}"
        self._ready.set()
        await self._over.wait()
        server.close()
        rest = asyncio.all_tasks() - {asyncio.current_task()}
        for task in rest:
            task.cancel()
        await asyncio.gather(*rest, return_exceptions=True)

    @contextmanager
    def serving(self, path: str | None = None) -> Iterator[None]:
        """Serve on the pseudo-terminal at ``path``, or else on a free network port."""
        serve = self._loop.run_until_complete
        thread = threading.Thread(target=lambda: serve(self._serve(path)), name="device")
        thread.start()
        assert self._ready.wait(10.0)
        try:
            yield
        finally:
            self._loop.call_soon_threadsafe(self._over.set)
            thread.join(10.0)
            self._loop.close()


@contextmanager
def null_modem() -> Iterator[tuple[str, str]]:
    """Two pseudo-terminals joined by a cable: what goes into one comes out of the other."""
    import pty
    import tty

    pairs = [pty.openpty() for _ in range(2)]
    for master, slave in pairs:
        tty.setraw(slave)
        os.set_blocking(master, False)
    unplugged = threading.Event()

    def carry(one: int, other: int) -> None:
        while not unplugged.is_set():
            with suppress(BlockingIOError):
                os.write(other, os.read(one, 4096))
                continue
            time.sleep(0.001)

    (near, near_slave), (far, far_slave) = pairs
    threads = [threading.Thread(target=carry, args=ends) for ends in ((near, far), (far, near))]
    for thread in threads:
        thread.start()
    try:
        yield os.ttyname(near_slave), os.ttyname(far_slave)
    finally:
        unplugged.set()
        for thread in threads:
            thread.join(10.0)
        for end in (near, near_slave, far, far_slave):
            os.close(end)


@contextmanager
def device_on(line: str) -> Iterator[tuple[ModbusDevice, str]]:
    """A device on an ``rtu`` or ``tcp`` line, and the port at which it is reached."""
    device = ModbusDevice()
    if line == "tcp":
        with device.serving():
            yield device, device.port
        return
    with null_modem() as (near, far), device.serving(far):
        yield device, near
