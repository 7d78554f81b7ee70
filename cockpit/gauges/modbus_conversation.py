"""One connection to a Modbus gauge: asks for its registers, and makes readings of the answers.

The only module that loads pymodbus, which builds the frames and takes them apart. Its own clients
are left alone: they wait without looking up, ask again by themselves, and keep to themselves why a
port did not open.
"""

from __future__ import annotations

import logging
import math
import threading
import time
from typing import Final, cast

from pymodbus.client.mixin import ModbusClientMixin
from pymodbus.framer import FramerRTU, FramerSocket
from pymodbus.pdu import DecodePDU, ModbusPDU
from pymodbus.pdu.register_message import ReadHoldingRegistersRequest, ReadInputRegistersRequest

from cockpit.gauges.conversation import MOUTHFUL, REPLY_S, Port, SilentLineError, Take
from cockpit.gauges.protocol import Clock, Reject, Sample, refuse_overflow, travel_sample
from cockpit.profiles import GaugeProfile, Registers
from cockpit.units import read_length_mm

#: So long is an answer waited for that comes too late, after REPLY_S, s: on a serial line nothing
#: would tell it from the answer to the next question.
LATE_S: Final = 2 * REPLY_S
#: The pause before a question, in characters of 11 bits, and its least, s (MODBUS over Serial Line
#: V1.02, message RTU framing; from memory).
PAUSE_BITS, LEAST_PAUSE_S = 3.5 * 11, 0.00175
#: The largest frame, bytes (MODBUS Application Protocol V1.1b3, 4.1: 256 serial, 260 on TCP).
LARGEST_FRAME: Final = 260
#: So much of what can't be read is shown, bytes.
SHOWN: Final = 16
#: A register address from here on was probably meant as one of the leaflets' five-digit numbers.
FIVE_DIGITS: Final = 30001

_REQUESTS: Final = {"holding": ReadHoldingRegistersRequest, "input": ReadInputRegistersRequest}
#: A float of 32 bits is good for so many digits, and is written with no more: 9999.99 is not
#: 9999.990234 then.
_DIGITS: Final = {"float32": 7}

# Otherwise the library's complaints about noise would be printed over the operator's screen.
logging.getLogger("pymodbus").addHandler(logging.NullHandler())


class ModbusConversation:
    """Asks over ``port`` at the profile's rate, and hands what comes to ``take``.

    It never asks again before the answer is there or LATE_S is over. A port that is silent for
    ``silence_s`` counts as broken (infinity: never).
    """

    def __init__(
        self,
        profile: GaugeProfile,
        registers: Registers,
        clock: Clock,
        port: Port,
        take: Take,
        *,
        over_network: bool,
        silence_s: float = math.inf,
    ) -> None:
        self._profile = profile
        self._registers = registers
        self._clock = clock
        self._port = port
        self._take = take
        self._over_network = over_network
        self._silence_s = silence_s
        self._framer = (FramerSocket if over_network else FramerRTU)(DecodePDU(False))
        self._asked = 0
        self._heard_s = time.monotonic()

    def listen(self, stopping: threading.Event) -> None:
        """Go on until ``stopping`` is set. Raises whatever the port raises when it breaks."""
        period_s = 1 / self._profile.rate_hz
        pause_s = max(LEAST_PAUSE_S, PAUSE_BITS / self._profile.baudrate)
        while not stopping.is_set():
            asked_s = time.monotonic()
            self._ask(stopping)
            if time.monotonic() - self._heard_s > self._silence_s:
                raise SilentLineError(self._silence_s)
            stopping.wait(max(pause_s, asked_s + period_s - time.monotonic()))

    def _ask(self, stopping: threading.Event) -> None:
        """Ask once, and hand over what comes of it."""
        self._drop_unasked()
        request = self._next_request()
        asked_s = time.monotonic()
        self._port.write(self._framer.buildFrame(request))
        heard, answer = self._wait_for_answer(request, asked_s + LATE_S, stopping)
        if not stopping.is_set():
            self._take([self._judge(request, heard, answer, time.monotonic() - asked_s)])

    def _next_request(self) -> ModbusPDU:
        # On a network each question has a number; a serial line has no room for one.
        self._asked = self._asked % 0xFFFF + 1
        return _REQUESTS[self._registers.function](
            dev_id=self._registers.device_id,
            transaction_id=self._asked if self._over_network else 0,
            address=self._registers.address,
            count=self._registers.count,
        )

    def _drop_unasked(self) -> None:
        """Take away what came since the last answer, which can't be the next one's."""
        heard = b""
        while self._port.in_waiting and len(heard) < MOUTHFUL:
            heard += self._read()
        if heard:
            why = "This came unasked: a very late answer, noise, or another program on the line."
            self._take([Reject(self._clock(), _shown(heard), why)])

    def _read(self) -> bytes:
        data = self._port.read(min(max(1, self._port.in_waiting), MOUTHFUL))
        if data:
            self._heard_s = time.monotonic()
        return data

    def _wait_for_answer(
        self, request: ModbusPDU, until_s: float, stopping: threading.Event
    ) -> tuple[bytes, ModbusPDU | None]:
        """All that comes up to the answer, and the answer, if one comes in time."""
        heard = held = b""
        answer = None
        while time.monotonic() < until_s and not stopping.is_set():
            data = self._read()
            heard, held = heard + data, held + data
            used, answer = self._unframe(held, request)
            # What is no answer to this question may come before it on a network. On a serial line
            # it is noise, and nobody knows where in it the answer begins.
            noise = used > 0 and not self._over_network
            if answer is not None or noise or len(heard) > LARGEST_FRAME:
                break
            held = held[used:]
        return heard, answer

    def _unframe(self, held: bytes, request: ModbusPDU) -> tuple[int, ModbusPDU | None]:
        """How much of ``held`` is done with, and the answer in it, if it is whole."""
        try:
            return self._framer.handleFrame(held, request.dev_id, request.transaction_id)
        # Noise can look like the beginning of any frame, and the library trips over some of them.
        except Exception:  # noqa: BLE001
            return len(held), None

    def _judge(
        self, request: ModbusPDU, heard: bytes, answer: ModbusPDU | None, waited_s: float
    ) -> Sample | Reject:
        t_s, shown, asked = self._clock(), _shown(heard), self._registers
        if answer is None:
            return Reject(t_s, shown, self._nothing_good(bool(heard)))
        if answer.isError():
            return Reject(t_s, shown, refusal(self._profile.name, asked, answer.exception_code))
        if waited_s > REPLY_S:
            why = (
                f"The answer took {waited_s:.1f} s, too long to say where the head is now: check "
                f"the line, and who else asks the same device."
            )
            return Reject(t_s, shown, why)
        if answer.function_code != request.function_code or len(answer.registers) != asked.count:
            return Reject(t_s, shown, self._nothing_good(heard_some=True))
        return self._reading(t_s, list(answer.registers))

    def _nothing_good(self, heard_some: bool) -> str:
        """What to do about an answer that did not come, or can't be one."""
        number = self._registers.device_id
        what = (
            f"No whole answer from device {number}" if heard_some else f"Device {number} is silent"
        )
        settings = "device_id" if self._over_network else "device_id, baudrate and parity"
        profile = self._profile.name
        return f"{what}: check power and wiring, then {settings} in gauge profile {profile}."

    def _reading(self, t_s: float, words: list[int]) -> Sample | Reject:
        number = _number(self._registers, words)
        written = f"{number:.{_DIGITS.get(self._registers.number, 10)}g}"
        raw = f"{' '.join(f'{word:04X}' for word in words)} hex = {written}"
        try:
            refuse_overflow(self._profile, written)
            self._refuse_no_number(number)
            length_mm = read_length_mm(number, self._profile.unit)
        except ValueError as problem:
            return Reject(t_s, raw, str(problem))
        return travel_sample(self._profile, t_s, length_mm, raw)

    def _refuse_no_number(self, number: float) -> None:
        if not math.isfinite(number):
            raise ValueError(
                f"The device sends {number}, which is no number: see whether the indicator itself "
                f"shows an error; if not, check number and word_order in gauge profile "
                f"{self._profile.name}."
            )


def _number(registers: Registers, words: list[int]) -> float:
    """The number that the registers hold."""
    kind = ModbusClientMixin.DATATYPE[registers.number.upper()]
    order = registers.word_order
    value = ModbusClientMixin.convert_from_registers(
        words, kind, "big" if order == "high first" else "little"
    )
    return float(cast(float, value))


def _shown(heard: bytes) -> str:
    return heard[:SHOWN].hex(" ").upper() + (" ..." if len(heard) > SHOWN else "")


def refusal(profile: str, asked: Registers, code: int) -> str:
    """What an exception response of this code means here, and what to mend.

    The names are the standard's (MODBUS Application Protocol V1.1b3, 7).

    >>> refusal("bench", Registers(device_id=7, address=4, number="int16"), 11)
    'Gateway target device failed to respond: check device_id (7) in gauge profile bench.'
    """
    kind, first = f"{asked.function} register", asked.address
    several = f"{kind} {first}" if asked.count == 1 else f"{kind}s {first} and {first + 1}"
    where = f"in gauge profile {profile}"
    match code:
        case 1:
            return f"Illegal function: no {kind}s can be read: check function {where}."
        case 2:
            offset = f" ({first} may be a number that stands for {first % 10000 - 1})"
            maybe = offset if first >= FIVE_DIGITS and first % 10000 else ""
            return f"Illegal data address: {several} not there: check register {where}{maybe}."
        case 3:
            return f"Illegal data value: {several} can't be read at once: check number {where}."
        case 4:
            return "Server device failure: see what the indicator itself shows, and its leaflet."
        case 5 | 6:
            return f"Server device busy: if that goes on, ask less often: lower rate_hz {where}."
        case 8:
            return "Memory parity error: the indicator's own memory is at fault: see its leaflet."
        case 10 | 11:
            what = "path unavailable" if code == 10 else "target device failed to respond"
            return f"Gateway {what}: check device_id ({asked.device_id}) {where}."
        case _:
            return f"Exception {code}, which the standard does not know: see the device's leaflet."
