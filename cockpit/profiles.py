"""What the TOML profiles hold, and how they are found.

A profile is ``<kind>/<name>.toml``. The shop's own folder wins over the shipped one by name, so a
shop changes its machine or gauge by a file of its own and never edits the program's.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from reprlib import repr as shortly
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import BaseModel, Field, ValidationError, model_validator

from cockpit import locations
from cockpit.trade.base import Frozen
from cockpit.trade.cautions import MaterialList
from cockpit.trade.checks import Checklist
from cockpit.trade.current import Machine
from cockpit.trade.electrodes import Rack
from cockpit.trade.price import RateCard
from cockpit.trade.ticket import Shop
from cockpit.trade.wear import MeasurementNoise
from cockpit.units import LengthUnit, Millimetres

STANDARD = "standard"
#: An arc is not told from fewer readings a second than this (assumed).
ARC_RATE_HZ = 2.0


class ProfileError(ValueError):
    """A profile that can't be used: names the file, the key, what it holds, what was expected."""


Positive = Annotated[Millimetres, Field(gt=0)]


class Registers(Frozen):
    """Where a Modbus device keeps the position, and how.

    ``register``: the first one, counted from 0 as on the wire. ``number``: what is in it; one of
    32 bits fills two registers, and ``word_order`` says which half of it comes first.
    """

    device_id: int = Field(default=1, ge=0, le=255)
    function: Literal["holding", "input"] = "holding"
    address: int = Field(alias="register", ge=0, le=65535)
    number: Literal["int16", "uint16", "int32", "uint32", "float32"]
    word_order: Literal["high first", "low first"] = "high first"

    @property
    def count(self) -> int:
        """How many registers the number fills."""
        return 1 if self.number.endswith("16") else 2


class GaugeProfile(Frozen):
    """How a depth indicator speaks, and how far it can be trusted.

    ``pattern``: a regular expression for one line, with the named group ``value`` and, where the
    line has them, ``sign`` and ``unit``. ``reverse``: the indicator counts up as the head goes up.
    ``request``: what asks a polled gauge for one reading, else None. ``rate_hz``: readings a second
    it sends, or is asked for. ``baudrate`` in bits a second; standard deviations in mm.
    ``dtr``, ``rts``: whether these control lines of a serial port are raised while it is open, as
    cables powered by them need; an adapter or an indicator may take one for a command (common
    practice, no source). The system may still raise both for a moment as it opens the port.
    ``arc``: what starts and stops the arc clock, the operator's key alone or what is read as well.
    ``modbus``: where the position of a Modbus gauge is; ``scale`` makes ``unit`` of its counts.

    ``good_status``: what the pattern's group ``status`` may hold in a reading that counts.
    ``overflow``: what stands in a reading's place when there is none; of a Modbus gauge the count
    as ``gauge watch`` shows it, before ``scale``. ``field``: which of the line's ``fields``,
    counted from 1 and parted by ``separator``, the pattern is for. ``per_count_mm``: the value is
    whole counts of this length. ``bare``: whose unit a typed number without one is in, that of the
    screen or the gauge's own ``unit``.
    """

    name: str
    source: Literal["serial", "typed", "recorded", "simulated", "modbus"]
    note: str = ""
    port: str | None = None
    baudrate: int = Field(default=9600, gt=0)
    bytesize: Literal[5, 6, 7, 8] = 8
    parity: Literal["N", "E", "O", "M", "S"] = "N"
    stopbits: float = Field(default=1.0, ge=1, le=2, multiple_of=0.5)
    dtr: bool = True
    rts: bool = True
    line_end: str = Field(default="\r\n", min_length=1, max_length=8)
    max_line: int = Field(default=128, ge=8, le=4096)
    pattern: str = r"\s*(?P<value>[-+]?\d+(?:\.\d+)?)\s*(?P<unit>mm|in)?\s*"
    good_status: tuple[str, ...] = ()
    overflow: tuple[str, ...] = ()
    separator: str = Field(default=",", min_length=1, max_length=1)
    field: int | None = Field(default=None, ge=1, le=64)
    fields: int | None = Field(default=None, ge=1, le=64)
    per_count_mm: Positive | None = Field(default=None, alias="per_count")
    bare: Literal["screen", "gauge"] = "screen"
    unit: LengthUnit = LengthUnit.MM
    reverse: bool = False
    scale: float = Field(default=1.0, gt=0)
    request: str | None = Field(default=None, min_length=1, max_length=32)
    rate_hz: float = Field(default=10.0, gt=0, le=1000)
    resolution_mm: Positive = Field(default=0.01, alias="resolution")
    touch_sd_mm: Positive = Field(default=0.03, alias="touch_sd")
    length_sd_mm: Positive = Field(default=0.05, alias="length_sd")
    gauged_sd_mm: Positive = Field(default=0.15, alias="gauged_sd")
    file: Path | None = None
    arc: Literal["key", "readings"] = "key"
    modbus: Registers | None = None

    @model_validator(mode="after")
    def _usable(self) -> Self:
        try:
            groups = re.compile(self.pattern, re.ASCII).groupindex
        except (re.error, ValueError) as error:
            raise ValueError(f"pattern is not a regular expression: {error}") from error
        if "value" not in groups:
            raise ValueError("pattern needs a group named value, as in (?P<value>...)")
        self._refuse_a_line_that_can_not_be(set(groups))
        if self.source == "recorded" and self.file is None:
            raise ValueError("a recorded gauge needs the key file: the trace to play")
        if self.source == "modbus" and self.modbus is None:
            raise ValueError("a modbus gauge needs the table [modbus]: device, register and number")
        if self.arc == "readings":
            self._refuse_to_tell_the_arc()
        return self

    def _refuse_a_line_that_can_not_be(self, groups: set[str]) -> None:
        """Raise ValueError for keys of the line that need each other, or rule each other out."""
        if ("status" in groups) is not bool(self.good_status):
            raise ValueError(
                "good_status and a group named status in pattern, as in (?P<status>[A-Z]), "
                "need each other"
            )
        if not all(mark.strip() for mark in (*self.good_status, *self.overflow)):
            raise ValueError("good_status and overflow list texts, and one of them is blank")
        if (self.field is None) is not (self.fields is None):
            raise ValueError(
                "field and fields need each other: which one it is, and how many a line has, so "
                "that a lost separator shows"
            )
        if self.field is not None and self.fields is not None and self.field > self.fields:
            raise ValueError(f"there is no field {self.field} where fields = {self.fields}")
        if self.per_count_mm is not None and "unit" in groups:
            raise ValueError(
                "per_count gives counts their length, so pattern can't have a group named unit"
            )

    def _refuse_to_tell_the_arc(self) -> None:
        """Raise ValueError for a gauge that says too little to tell an arc by."""
        if not self.streaming:
            raise ValueError(
                "a typed gauge can't tell when the arc is on, since nobody types while it burns: "
                'arc has to be "key"'
            )
        if self.rate_hz < ARC_RATE_HZ:
            raise ValueError(
                f'arc = "readings" takes {ARC_RATE_HZ:g} readings a second or more: '
                'raise rate_hz, or say arc = "key"'
            )

    @property
    def noise(self) -> MeasurementNoise:
        """The measurement noise that the tracker works with."""
        return MeasurementNoise(self.touch_sd_mm, self.length_sd_mm, self.gauged_sd_mm)

    def bare_unit(self, shown: LengthUnit) -> LengthUnit:
        """The unit of a typed number without one, while the screen shows ``shown``."""
        return self.unit if self.bare == "gauge" else shown

    @property
    def streaming(self) -> bool:
        """Whether readings come by themselves, so that saying nothing is a fault."""
        return self.source != "typed"


class Letterhead(Frozen):
    """Whose record it is: the name of the shop, and what else stands at the head of a record."""

    shop: str = Field(default="", max_length=80)
    lines: tuple[Annotated[str, Field(min_length=1, max_length=80)], ...] = Field(
        default=(), max_length=6
    )

    @model_validator(mode="after")
    def _has_a_name(self) -> Self:
        if self.lines and not self.shop:
            raise ValueError("lines stand under the name of the shop: say shop as well")
        return self

    @property
    def told(self) -> tuple[str, ...]:
        """All of it, the name first; nothing where none is set."""
        return ((self.shop,) if self.shop else ()) + self.lines


KINDS: dict[str, type[BaseModel]] = {
    "machine": Machine,
    "gauge": GaugeProfile,
    "electrodes": Rack,
    "checklists": Checklist,
    "materials": MaterialList,
    "rates": RateCard,
    "letterhead": Letterhead,
}

Model = TypeVar("Model", bound=BaseModel)


def profile_paths(kind: str) -> dict[str, Path]:
    """The profiles of one kind by name; the shop's own win."""
    found: dict[str, Path] = {}
    for root in (locations.shipped_profiles(), locations.user_profiles()):
        found |= {path.stem: path for path in sorted((root / kind).glob("*.toml"))}
    return found


def load(kind: str, name: str, model: type[Model]) -> Model:
    """Read and validate one profile. Raises ProfileError."""
    paths = profile_paths(kind)
    if name not in paths:
        known = ", ".join(paths) or "none"
        raise ProfileError(f"There is no {kind} profile {name!r}; those that exist: {known}.")
    return read_profile(paths[name], model)


def read_profile(path: Path, model: type[Model]) -> Model:
    """Read and validate the profile at ``path``. Raises ProfileError."""
    try:
        held = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise ProfileError(f"{path}: {error.strerror}; the profile can't be read.") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ProfileError(f"{path}: is not valid TOML: {error}.") from error
    held = _with_name(held, path.stem, model)
    try:
        return model.model_validate(held)
    except ValidationError as error:
        raise ProfileError(_sentence(path, error, model)) from error


def _with_name(held: dict[str, Any], stem: str, model: type[BaseModel]) -> dict[str, Any]:
    """A profile is called what its file is called, unless it says otherwise."""
    return {"name": stem} | held if "name" in model.model_fields else held


def _sentence(path: Path, error: ValidationError, model: type[BaseModel]) -> str:
    first = error.errors(include_url=False)[0]
    key = ".".join(str(part) for part in first["loc"]) or "the file as a whole"
    holds = f"holds {shortly(first['input'])}"
    expected = " ".join(first["msg"].removeprefix("Value error, ").split()).rstrip(".")
    if first["type"] == "missing":
        holds, expected = "is missing", "it has to be there"
    elif first["type"] == "extra_forbidden":
        holds, expected = f"{holds} and is no key here", _keys(model, key)
    elif isinstance(first["input"], Mapping):
        holds = "does not hold together"
    return f"{path}: {key} {holds}: {expected}."


def _keys(model: type[BaseModel], key: str) -> str:
    """The keys that could have been meant; the short ones, where there are such."""
    if "." in key:
        return "check its spelling"
    names = (str(field.validation_alias or name) for name, field in model.model_fields.items())
    return f"expected is one of {', '.join(names)}"


def load_shop(
    machine: str | None = None, electrodes: str = STANDARD, gauge: str | None = None
) -> Shop:
    """What a plan needs to know of the shop. Raises ProfileError.

    ``gauge`` is what the burn will be watched with, as far as that is known.
    """
    shop = Shop.of(
        load("machine", machine or STANDARD, Machine),
        load("electrodes", electrodes, Rack),
        load("materials", STANDARD, MaterialList).materials,
        load("rates", STANDARD, RateCard),
    )
    return shop if gauge is None else replace(shop, noise=load_gauge(gauge).noise)


def load_checklist(name: str = STANDARD) -> Checklist:
    """The daily and set-up checks. Raises ProfileError."""
    return load("checklists", name, Checklist)


def load_letterhead() -> Letterhead:
    """Whose record it is. Raises ProfileError."""
    return load("letterhead", STANDARD, Letterhead)


def load_gauge(name: str) -> GaugeProfile:
    """One gauge profile. Raises ProfileError."""
    return load("gauge", name, GaugeProfile)
