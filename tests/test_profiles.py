"""Profiles: found, the shop's own first; refused by file, key and what was expected."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit import locations, profiles
from cockpit.profiles import GaugeProfile, ProfileError, load, load_gauge, read_profile
from cockpit.trade.current import Machine
from cockpit.trade.electrodes import Rack
from cockpit.units import LengthUnit

#: A Modbus gauge of which one key of the table is still missing.
MODBUS = 'source = "modbus"\n[modbus]\nnumber = "int16"\n'
SHIPPED = [
    (kind, name)
    for kind in profiles.KINDS
    for name in sorted(path.stem for path in (locations.shipped_profiles() / kind).glob("*.toml"))
]


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shop's own profiles, in a home of their own."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    folder = locations.user_profiles()
    assert folder.is_relative_to(tmp_path)
    return folder


def written(own: Path, text: str, kind: str = "gauge", name: str = "bench") -> Path:
    path = own / kind / f"{name}.toml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(("kind", "name"), SHIPPED)
def test_every_shipped_profile_loads(kind: str, name: str) -> None:
    loaded = load(kind, name, profiles.KINDS[kind])
    assert loaded.model_dump().get("name", name) == name


def test_there_is_a_shipped_one_of_every_kind_and_they_make_a_shop() -> None:
    assert {kind for kind, _ in SHIPPED} == set(profiles.KINDS)
    shop = profiles.load_shop()
    assert shop.stock
    assert shop.materials
    assert profiles.load_checklist().setup


def test_the_shops_own_wins_by_name_and_the_rest_stay(own: Path) -> None:
    written(own, 'source = "typed"\nunit = "in"', name="serial-decimal")
    written(own, 'source = "typed"', name="mine")
    assert load_gauge("serial-decimal").unit is LengthUnit.INCH
    assert load_gauge("serial-decimal").source == "typed"
    assert load_gauge("mine").name == "mine"
    assert load_gauge("serial-polled").request == "?"
    assert list(profiles.profile_paths("gauge")).count("serial-decimal") == 1


def test_a_profile_is_called_what_its_file_is_called_unless_it_says_otherwise(own: Path) -> None:
    assert read_profile(written(own, 'source = "typed"'), GaugeProfile).name == "bench"
    named = written(own, 'source = "typed"\nname = "by the door"')
    assert read_profile(named, GaugeProfile).name == "by the door"


def test_a_byte_order_mark_is_no_error(own: Path) -> None:
    path = written(own, '\ufeffsource = "typed"')
    assert read_profile(path, GaugeProfile).source == "typed"


def test_lengths_are_read_with_their_units(own: Path) -> None:
    path = written(own, 'source = "serial"\nresolution = "0.0005 in"\ntouch_sd = 0.02')
    gauge = read_profile(path, GaugeProfile)
    assert gauge.resolution_mm == pytest.approx(0.0127)
    assert gauge.noise.touch_sd_mm == 0.02
    assert gauge.streaming


def test_only_a_typed_gauge_does_not_send_by_itself() -> None:
    streaming = {name: load_gauge(name).streaming for kind, name in SHIPPED if kind == "gauge"}
    assert {name for name, streams in streaming.items() if not streams} == {
        "typed",
        "typed-by-gauge",
    }


def test_the_key_alone_switches_the_arc_clock_unless_a_profile_says_otherwise(own: Path) -> None:
    assert {load_gauge(name).arc for kind, name in SHIPPED if kind == "gauge"} == {"key"}
    written(own, 'source = "serial"\narc = "readings"')
    assert load_gauge("bench").arc == "readings"


STATUS = "(?P<status>[A-Z])(?P<value>[0-9]+)"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('source = "radio"', ["source holds 'radio'", "'serial'", "'typed'"]),
        ('note = "no source"', ["source is missing"]),
        ('source = "serial"\nbaudrate = 0', ["baudrate holds 0", "greater than 0"]),
        ('source = "serial"\nbaudrate = "fast"', ["baudrate holds 'fast'", "integer"]),
        ('source = "serial"\nparity = "X"', ["parity holds 'X'", "'N'"]),
        ('source = "serial"\nresolution = "wide"', ["resolution holds 'wide'", "length"]),
        ('source = "serial"\nresolution = -1', ["resolution holds -1", "greater than 0"]),
        ('source = "serial"\nrate_hz = inf', ["rate_hz holds inf"]),
        ('source = "serial"\nbaud = 9600', ["baud holds 9600", "no key", "baudrate", "touch_sd"]),
        ('source = "serial"\npattern = "("', ["pattern is not a regular expression"]),
        ('source = "serial"\npattern = "x+"', ["group named value"]),
        (f'source = "serial"\npattern = "{STATUS}"', ["good_status", "need each other"]),
        ('source = "serial"\ngood_status = ["A"]', ["group named status", "need each other"]),
        ('source = "serial"\ngood_status = "A"', ["good_status holds 'A'", "tuple"]),
        ('source = "serial"\noverflow = ["OL", " "]', ["overflow", "one of them is blank"]),
        ('source = "serial"\nfield = 2', ["field and fields need each other", "lost separator"]),
        ('source = "serial"\nfields = 2', ["field and fields need each other"]),
        ('source = "serial"\nfield = 0\nfields = 2', ["field holds 0", "greater than"]),
        ('source = "serial"\nfield = 3\nfields = 2', ["no field 3 where fields = 2"]),
        ('source = "serial"\nseparator = ", "', ["separator holds ', '", "at most 1 char"]),
        ('source = "serial"\nper_count = 0', ["per_count holds 0", "greater than 0"]),
        ('source = "serial"\nper_count = "a bit"', ["per_count holds 'a bit'", "not a length"]),
        ('source = "serial"\nper_count = "1 um"', ["per_count", "can't have a group named unit"]),
        ('source = "typed"\nbare = "mm"', ["bare holds 'mm'", "'screen' or 'gauge'"]),
        ('source = "serial"\npattern = "(?u)(?P<value>1)"', ["pattern", "UNICODE"]),
        ('source = "recorded"', ["key file"]),
        ('source = "serial"\narc = "gauge"', ["arc holds 'gauge'", "'key'", "'readings'"]),
        ('source = "typed"\narc = "readings"', ["typed gauge", 'arc has to be "key"']),
        ('source = "serial"\nrate_hz = 1\narc = "readings"', ["2 readings a second", "rate_hz"]),
        ('source = "modbus"', ["table [modbus]", "register"]),
        ('source = "modbus"\n[modbus]\nregister = 0', ["modbus.number is missing"]),
        (f"{MODBUS}register = 400001", ["modbus.register holds 400001", "65535"]),
        (f'{MODBUS}register = "40001"\nunit_id = 1', ["modbus.unit_id", "spelling"]),
        (f"{MODBUS}register = 0\ndevice_id = 256", ["modbus.device_id holds 256", "255"]),
        (f'{MODBUS}register = 0\nfunction = "coil"', ["modbus.function", "'holding'", "'input'"]),
        (f'{MODBUS}register = 0\nword_order = "big"', ["modbus.word_order", "'high first'"]),
        ('source = "modbus"\nmodbus = 3', ["modbus holds 3"]),
        ("source = ", ["not valid TOML", "end of document"]),
        ("\x00\x01", ["not valid TOML"]),
        (f'source = "{"x" * 5000}"', ["source holds 'xxx"]),
    ],
)
def test_an_error_names_file_key_what_it_holds_and_what_was_expected(
    own: Path, text: str, words: list[str]
) -> None:
    path = written(own, text)
    with pytest.raises(ProfileError) as refused:
        load_gauge("bench")
    said = str(refused.value)
    assert said.startswith(f"{path}: ")
    assert said.endswith(".")
    assert "\n" not in said
    assert len(said.removeprefix(str(path))) < 400
    for word in words:
        assert word in said


def test_an_error_deep_in_a_list_names_the_place(own: Path) -> None:
    rack = '[[electrodes]]\nlabel = "a"\ndiameter = "4 mm"\nbore = "1 mm"\nlength = "x"\n'
    path = written(own, rack, "electrodes", "standard")
    with pytest.raises(ProfileError) as refused:
        profiles.load_shop()
    assert str(refused.value).startswith(f"{path}: electrodes.0.length holds 'x'")
    odd = f'{rack.replace("x", "9 cm")}material = "brass"\non_hand = 2\nweight = 3\n'
    with pytest.raises(ProfileError, match=r"electrodes\.0\.weight holds 3 and is no key"):
        read_profile(written(own, odd), Rack)


def test_what_is_not_text_or_no_file_is_refused_in_a_sentence(own: Path) -> None:
    path = written(own, "")
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(ProfileError, match="not valid TOML"):
        load_gauge("bench")
    path.unlink()
    path.mkdir()
    with pytest.raises(ProfileError, match="can't be read"):
        load_gauge("bench")


def test_a_name_that_is_not_there_lists_those_that_are(own: Path) -> None:
    written(own, 'source = "typed"', name="mine")
    with pytest.raises(ProfileError, match=r"no gauge profile 'dial'.*serial-decimal.*mine"):
        load_gauge("dial")
    for name in ("../gauge/typed", "typed.toml", "", "."):
        with pytest.raises(ProfileError, match="no gauge profile"):
            load_gauge(name)
    with pytest.raises(ProfileError, match="no machine profile"):
        load("machine", "mine", Machine)
