from typing import ClassVar

import pytest
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.pilot import Pilot
from textual.widgets import Input, Static

from cockpit.units import LengthUnit
from cockpit.widgets.quantity_input import QuantityInput


class Form(App[None]):
    BINDINGS: ClassVar[list[BindingType]] = [
        ("u", "unit"),
        ("question_mark", "help"),
        ("space", "next"),
        ("backspace", "step_back"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.field = QuantityInput("depth", id="depth")
        self.taken: list[str] = []
        self.done: list[str] = []

    def compose(self) -> ComposeResult:
        yield self.field

    def on_mount(self) -> None:
        self.field.focus_field()

    def on_input_submitted(self, message: Input.Submitted) -> None:
        self.taken.append(message.value)

    def action_unit(self) -> None:
        self.field.unit = LengthUnit.INCH

    def action_help(self) -> None:
        self.done.append("help")

    def action_next(self) -> None:
        self.done.append("next")

    def action_step_back(self) -> None:
        self.done.append("back")

    @property
    def note(self) -> str:
        return str(self.field.query_one(".quantity-input--note", Static).content)


async def typed(pilot: Pilot[None], text: str) -> None:
    await pilot.press(*("space" if character == " " else character for character in text))
    await pilot.pause()


@pytest.mark.parametrize(
    ("text", "mm", "note"),
    [
        # An inch is exactly 25.4 mm (NIST SP 811).
        ("5/32", 25.4 * 5 / 32, "0.1563 in = 3.97 mm"),
        (".156", 25.4 * 0.156, "0.1560 in = 3.96 mm"),
        ("4mm", 4.0, "0.1575 in = 4.00 mm"),
        ("4 mm", 4.0, "0.1575 in = 4.00 mm"),
        ('1 3/8"', 25.4 * 1.375, "1.3750 in = 34.93 mm"),
        ("-.5 thou", -0.0127, "-0.0005 in = -0.01 mm"),
    ],
)
async def test_a_length_is_understood_as_it_is_typed_and_taken_with_enter(
    text: str, mm: float, note: str
) -> None:
    app = Form()
    async with app.run_test() as pilot:
        app.field.unit = LengthUnit.INCH
        await typed(pilot, text)
        assert app.note == note
        assert app.field.understood.mm == pytest.approx(mm)
        assert app.taken == []
        await pilot.press("enter")
        assert app.taken == [text]


async def test_what_is_wrong_is_said_beside_the_field_with_a_sign() -> None:
    app = Form()
    async with app.run_test() as pilot:
        await typed(pilot, "4 yards")
        assert '"4 yards"' in app.note
        assert app.note[0] in "✗x"
        assert app.field.understood.mm is None
        assert app.field.has_class("-wrong")
        await pilot.press(*["backspace"] * 6)
        assert not app.field.has_class("-wrong")


async def test_keys_of_the_screen_are_left_to_it_while_nothing_is_typed() -> None:
    app = Form()
    async with app.run_test() as pilot:
        await pilot.press("space", "question_mark", "backspace", "u", "n")
        assert app.field.text == ""
        assert app.done == ["next", "help", "back"]
        assert app.field.unit is LengthUnit.INCH


async def test_keys_of_the_screen_belong_to_the_field_once_it_holds_something() -> None:
    app = Form()
    async with app.run_test() as pilot:
        await pilot.press("2", "space", "u", "m", "backspace")
        assert app.field.text == "2 u"
        assert app.done == []


async def test_a_change_of_unit_shows_the_same_length_in_the_other() -> None:
    app = Form()
    async with app.run_test() as pilot:
        await pilot.press("1")
        assert app.note == "1.00 mm = 0.0394 in"
        app.field.unit = LengthUnit.INCH
        await pilot.pause()
        assert app.note == "0.0394 in = 1.00 mm"
        assert app.field.text == "1 mm"
        assert app.field.understood.mm == 1.0
        app.field.clear()
        await pilot.press("1")
        assert app.note == "1.0000 in = 25.40 mm"


@pytest.mark.parametrize("text", ["5/32", "4mm", '1 3/8"', "4 yards", ""])
async def test_what_does_not_hang_on_the_unit_stays_as_it_was_typed(text: str) -> None:
    app = Form()
    async with app.run_test() as pilot:
        await typed(pilot, text)
        app.field.unit = LengthUnit.INCH
        await pilot.pause()
        assert app.field.text == text


async def test_a_refusal_from_elsewhere_stands_until_the_next_key() -> None:
    app = Form()
    async with app.run_test() as pilot:
        app.field.refuse("The break is [deeper] than the hole.")
        await pilot.pause()
        assert app.note.endswith("The break is [deeper] than the hole.")
        await pilot.press("4")
        await pilot.pause()
        assert app.note == "4.00 mm = 0.1575 in"
