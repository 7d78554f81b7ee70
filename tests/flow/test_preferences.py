"""What an operator has set: kept, read again, refused in a sentence, never written over unread."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from cockpit import locations
from cockpit.burn.calls import CallKind
from cockpit.flow.preferences import PreferenceBook, Preferences
from cockpit.sound.rhythms import DEFAULTS, RhythmError
from cockpit.units import LengthUnit

THEMES = ("dark", "light")


def book(folder: Path) -> PreferenceBook:
    return PreferenceBook(folder, THEMES, lambda key: "It is t." if key == "t" else "")


def set_and_keep(book: PreferenceBook, **values: object) -> None:
    book.change(**values)
    book.keep()


def kept(folder: Path) -> Path:
    return folder / locations.PREFERENCES_NAME


def test_without_a_file_the_usual_holds_and_nothing_is_written(tmp_path: Path) -> None:
    fresh = book(tmp_path)
    assert (fresh.now, fresh.trouble) == (Preferences(), "")
    assert list(tmp_path.iterdir()) == []


def test_what_was_set_holds_at_the_next_start(tmp_path: Path) -> None:
    first = book(tmp_path)
    set_and_keep(first, unit=LengthUnit.INCH, muted=True)
    set_and_keep(first, theme="light", pedal="f5", speech=True)
    set_and_keep(first, bells=first.now.with_rhythm(CallKind.NEAR, "x-xx"))
    second = book(tmp_path)
    assert second.now == first.now
    assert second.now == Preferences(
        unit=LengthUnit.INCH,
        muted=True,
        theme="light",
        pedal="f5",
        speech=True,
        bells={**DEFAULTS, CallKind.NEAR: "x-xx"},
    )
    assert [path.name for path in tmp_path.iterdir()] == [locations.PREFERENCES_NAME]


@pytest.mark.parametrize(
    "held",
    [b"", b"\xff\xfe\x00", b"{", b"[]", b'{"unit": "foot"}', b'{"colour": 1}', b'{"pedal": ""}',
     b'{"bells": {"near": "x x"}}', b'{"bells": {"near": "xx", "long": "xx"}}',
     b'{"bells": {"dinner": "x"}}', b'{"theme": "' + b"x" * 4000 + b'"}'],
)  # fmt: skip
def test_a_file_that_can_not_be_read_is_a_sentence_and_is_put_aside_not_lost(
    tmp_path: Path, held: bytes
) -> None:
    kept(tmp_path).write_bytes(held)
    opened = book(tmp_path)
    assert opened.now == Preferences()
    assert opened.trouble.startswith(f"{kept(tmp_path)}: ")
    assert "set it again" in opened.trouble
    assert "\n" not in opened.trouble
    assert kept(tmp_path).read_bytes() == held, "reading changes nothing"
    set_and_keep(opened, muted=True)
    aside = tmp_path / "preferences.unreadable"
    assert aside.read_bytes() == held
    assert str(aside) in opened.trouble
    assert book(tmp_path).now == Preferences(muted=True)
    set_and_keep(opened, muted=False)
    assert opened.trouble == ""


def test_a_second_unreadable_file_does_not_take_the_place_of_the_first(tmp_path: Path) -> None:
    for held in ("one", "two"):
        kept(tmp_path).write_text(held)
        set_and_keep(book(tmp_path), muted=True)
    asides = sorted(tmp_path.glob("preferences.unreadable*"))
    assert [path.read_text() for path in asides] == ["one", "two"]


def test_rhythms_that_can_not_be_played_are_told_by_what_is_wrong_with_them(tmp_path: Path) -> None:
    kept(tmp_path).write_text('{"bells": {"near": "x x"}}')
    assert '"x x" is no rhythm' in book(tmp_path).trouble
    kept(tmp_path).write_text('{"bells": {"near": "xx", "long": "xx"}}')
    assert "near and long would sound alike (xx)" in book(tmp_path).trouble


def test_a_folder_in_the_place_of_the_file_stops_nothing(tmp_path: Path) -> None:
    kept(tmp_path).mkdir()
    opened = book(tmp_path)
    assert opened.now == Preferences()
    assert "set it again" in opened.trouble
    set_and_keep(opened, muted=True)
    assert book(tmp_path).now.muted


def test_every_thing_that_this_cockpit_does_not_know_is_told(tmp_path: Path) -> None:
    kept(tmp_path).write_text('{"theme": "sepia", "pedal": "t"}')
    trouble = book(tmp_path).trouble
    assert "dark is shown instead" in trouble
    assert "no pedal is set" in trouble


def test_what_is_kept_from_many_threads_at_once_is_what_was_set_last(tmp_path: Path) -> None:
    opened = book(tmp_path)
    with ThreadPoolExecutor(8) as threads:
        for number in range(100):
            opened.change(unit=LengthUnit.INCH if number % 2 else LengthUnit.MM)
            threads.submit(opened.keep)
    assert opened.trouble == ""
    assert book(tmp_path).now.unit is LengthUnit.INCH
    assert [path.name for path in tmp_path.iterdir()] == [locations.PREFERENCES_NAME]


def test_what_can_not_be_kept_holds_now_and_says_so(tmp_path: Path) -> None:
    # A folder of that name is in the way of what is written first.
    kept(tmp_path).with_suffix(".new").mkdir()
    opened = book(tmp_path)
    set_and_keep(opened, unit=LengthUnit.INCH)
    assert opened.now.unit is LengthUnit.INCH
    assert opened.trouble.endswith("has to be set again at the next start.")
    assert book(tmp_path).now.unit is LengthUnit.MM
    kept(tmp_path).with_suffix(".new").rmdir()
    set_and_keep(opened, muted=True)
    assert opened.trouble == ""
    assert book(tmp_path).now == Preferences(unit=LengthUnit.INCH, muted=True)


def test_a_theme_or_a_pedal_that_this_cockpit_does_not_know_leaves_the_rest(tmp_path: Path) -> None:
    kept(tmp_path).write_text('{"theme": "sepia", "muted": true}')
    opened = book(tmp_path)
    assert opened.now == Preferences(theme="dark", muted=True)
    assert "dark is shown instead" in opened.trouble
    kept(tmp_path).write_text('{"pedal": "t", "muted": true}')
    opened = book(tmp_path)
    assert opened.now == Preferences(muted=True)
    assert "no pedal is set. It is t." in opened.trouble


def test_a_value_that_can_not_be_is_refused_and_changes_nothing(tmp_path: Path) -> None:
    opened = book(tmp_path)
    set_and_keep(opened, pedal="f5")
    with pytest.raises(ValueError, match="unit"):
        opened.change(unit="foot")
    assert opened.now == Preferences(pedal="f5")
    assert json.loads(kept(tmp_path).read_text())["pedal"] == "f5"


def test_no_call_can_be_given_the_rhythm_of_another() -> None:
    with pytest.raises(RhythmError, match="target and near would sound alike"):
        Preferences().with_rhythm(CallKind.NEAR, DEFAULTS[CallKind.TARGET])
    same = Preferences().with_rhythm(CallKind.NEAR, DEFAULTS[CallKind.NEAR])
    assert same == DEFAULTS


def test_a_call_that_the_file_does_not_know_gets_a_rhythm_that_is_free(tmp_path: Path) -> None:
    """As after an update that brings another call: its usual rhythm may have been given away."""
    bells = {"near": DEFAULTS[CallKind.LONG]}
    kept(tmp_path).write_text(json.dumps({"bells": bells}))
    opened = book(tmp_path)
    assert opened.trouble == ""
    assert set(opened.now.bells) == set(CallKind)
    assert len(set(opened.now.bells.values())) == len(CallKind)
    assert opened.now.bells[CallKind.NEAR] == DEFAULTS[CallKind.LONG]
