"""Lets the gauge simulator answer as a Modbus device, by the server that pymodbus comes with.

The position is a signed number of 32 bits in holding registers 0 and 1 of device 1, high word
first, in thousandths of a millimetre: what the profiles modbus-rtu and modbus-tcp expect.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import os
from functools import partial
from pathlib import Path
from typing import Final, cast

from pymodbus.client.mixin import ModbusClientMixin
from pymodbus.constants import ExcCodes
from pymodbus.server import ModbusSerialServer, ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

from cockpit.units import read_length_mm

DEVICE_ID: Final = 1
COUNTS_PER_MM: Final = 1000

# The standard error is for the person who started the simulator.
logging.getLogger("pymodbus").addHandler(logging.NullHandler())


class ModbusOutlet:
    """An outlet of the simulator. The server runs whenever the simulator waits, and only then.

    To the simulator each question is a ``request``, and what it sends in reply a line that ends in
    ``line_end``; anything else that it sends goes out as it is, in place of the answer.
    """

    def __init__(self, request: bytes, line_end: bytes) -> None:
        self.name = ""
        self._request, self._line_end = request, line_end
        self._cleanup = contextlib.ExitStack()
        self._new: list[asyncio.Future[bytes]] = []
        self._open: list[asyncio.Future[bytes]] = []
        self._instead: bytes | None = None
        position = SimData(0, values=0, datatype=DataType.INT32)
        self._device = SimDevice(DEVICE_ID, [position], action=self._fill_in)

    # Where it is to be found ---------------------------------------------------------------------

    def on_network(self, port: int) -> None:
        """Serve Modbus TCP on this port of this computer (0: any free one)."""
        self._serve = partial(self._on_network, port)
        self.plug_in()

    def on_pseudo_terminal(self, link: Path | None) -> None:
        """Serve Modbus RTU on a pseudo-terminal; ``link``: a name that stays from run to run."""
        self._serve = partial(self._on_pseudo_terminal, link)
        self.plug_in()

    def plug_in(self) -> None:
        """Begin to serve, again if need be, where it was before."""
        self._loop = asyncio.new_event_loop()
        self._cleanup.callback(self._loop.close)
        self._came = asyncio.Event()
        self._new, self._open = [], []
        self._serve()

    def _on_network(self, port: int) -> None:
        async def serve() -> ModbusTcpServer:
            address = ("127.0.0.1", port)
            return ModbusTcpServer(self._device, address=address, trace_packet=self._send_instead)

        server = self._loop.run_until_complete(serve())
        self._begin(server)
        listener = cast(asyncio.Server, server.transport)
        port = listener.sockets[0].getsockname()[1]
        self._serve = partial(self._on_network, port)
        self.name = f"tcp://127.0.0.1:{port}"

    def _on_pseudo_terminal(self, link: Path | None) -> None:
        near, far = self._pseudo_terminal(), self._pseudo_terminal()
        for one, other in ((near, far), (far, near)):
            self._loop.add_reader(one[0], self._pass_on, one[0], other[0])

        async def serve() -> ModbusSerialServer:
            return ModbusSerialServer(
                self._device, port=os.ttyname(far[1]), trace_packet=self._send_instead
            )

        self._begin(self._loop.run_until_complete(serve()))
        self.name = os.ttyname(near[1])
        if link is not None:
            if link.is_symlink():
                link.unlink()
            link.symlink_to(self.name)
            self._cleanup.callback(link.unlink, missing_ok=True)

    def _pseudo_terminal(self) -> tuple[int, int]:
        import pty  # Windows has none
        import tty

        ends = pty.openpty()
        for end in ends:
            self._cleanup.callback(os.close, end)
        tty.setraw(ends[1])
        os.set_blocking(ends[0], False)
        return ends

    @staticmethod
    def _pass_on(one: int, other: int) -> None:
        with contextlib.suppress(OSError):  # what a full line can't take is lost, as in life
            os.write(other, os.read(one, 4096))

    def _begin(self, server: ModbusTcpServer | ModbusSerialServer) -> None:
        try:
            self._loop.run_until_complete(server.serve_forever(background=True))
        except RuntimeError as problem:  # how it says that its port is taken
            raise OSError(str(problem).rstrip(".")) from problem
        self._cleanup.callback(self._end, server)

    # The server ----------------------------------------------------------------------------------

    async def _fill_in(
        self,
        _function: int,
        _start: int,
        _address: int,
        _count: int,
        held: list[int],
        _written: list[int] | list[bool] | None,
    ) -> ExcCodes | None:
        """Hold an answer back until the simulator has said what is in the registers."""
        question = self._loop.create_future()
        self._new.append(question)
        self._came.set()
        said: bytes = await question
        self._instead = None if said.endswith(self._line_end) else said
        if self._instead is None:
            count = round(read_length_mm(said.decode("ascii")) * COUNTS_PER_MM)
            held[:2] = ModbusClientMixin.convert_to_registers(
                count, ModbusClientMixin.DATATYPE.INT32
            )
        return None

    def _send_instead(self, sending: bool, frame: bytes) -> bytes:
        return self._instead if sending and self._instead is not None else frame

    def _end(self, server: ModbusTcpServer | ModbusSerialServer) -> None:
        async def end() -> None:
            server.close()
            rest = asyncio.all_tasks() - {asyncio.current_task()}
            for task in rest:
                task.cancel()
            await asyncio.gather(*rest, return_exceptions=True)

        self._loop.run_until_complete(end())

    # For the simulator ---------------------------------------------------------------------------

    def received(self) -> bytes:
        """A request for each question that came; those of the last time are never answered."""
        for question in self._open:
            question.cancel()
        self._open, self._new = self._new, []
        self._came.clear()
        return self._request * len(self._open)

    def send(self, data: bytes) -> bool:
        """Answer the oldest question, once the simulator waits; say whether there was one."""
        if not self._open:
            return False
        self._open.pop(0).set_result(data)
        return True

    def wait(self, timeout_s: float) -> None:
        """Serve until the next question, or until the time is over."""

        async def question() -> None:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self._came.wait(), timeout_s)

        self._loop.run_until_complete(question())

    def unplug(self) -> None:
        """Hang up and take the link away."""
        self._cleanup.close()
