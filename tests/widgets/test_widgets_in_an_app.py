from textual.app import App, ComposeResult
from textual.color import Color

from cockpit.widgets.block_figures import BlockFigures, block_figures
from cockpit.widgets.cross_section import CrossSection, CrossView
from cockpit.widgets.side_section import SideSection, SideView

CROSS = CrossView(8.376, 10.0, 4.0, 5.06, 4.76, 0.53, (0.9, -0.5), 3)
SIDE = SideView(3.0, 18.0, through=False, tip_mm=12.9, stop_mm=17.1, limit_mm=21.5, bottom_mm=22.0)


class Drawings(App[None]):
    def compose(self) -> ComposeResult:
        yield BlockFigures("12.9", widest="000.0")
        yield CrossSection(CROSS)
        yield SideSection(SIDE)


def shown(widget: BlockFigures | CrossSection | SideSection) -> list[str]:
    return [widget.render_line(y).text.rstrip() for y in range(widget.size.height)]


async def test_figures_grow_with_the_room_and_keep_their_height_while_counting() -> None:
    app = Drawings()
    async with app.run_test(size=(60, 30)) as pilot:
        figures = app.query_one(BlockFigures)
        expected = [line.rstrip() for line in block_figures("12.9", 10)]
        assert figures.size.height == 10
        assert "\n".join(shown(figures)).strip() != ""
        before = sum(bool(line) for line in shown(figures))
        figures.text = "8"
        await pilot.pause()
        assert sum(bool(line) for line in shown(figures)) == before
        await pilot.resize_terminal(120, 30)
        figures.text = "12.9"
        await pilot.pause()
        assert shown(figures) == expected


async def test_every_ink_can_be_told_from_the_background() -> None:
    app = Drawings()
    async with app.run_test(size=(60, 60)):
        for name in CrossSection.COMPONENT_CLASSES - {"picture--none"}:
            style = app.query_one(CrossSection).get_visual_style(name)
            assert style.background is not None
            assert style.foreground is not None
            assert contrast(style.background, style.background + style.foreground) >= 4.5, name


async def test_drawings_show_what_they_are_given() -> None:
    app = Drawings()
    async with app.run_test(size=(60, 60)) as pilot:
        assert any("leaves web" in line for line in shown(app.query_one(CrossSection)))
        side = app.query_one(SideSection)
        assert any("at stop" in line and "17.10" in line for line in shown(side))
        side.view = None
        await pilot.pause()
        assert not any(shown(side))


def contrast(one: Color, other: Color) -> float:
    """The contrast ratio of WCAG 2.2, definition of "contrast ratio"."""

    def luminance(color: Color) -> float:
        channels = (channel / 255 for channel in color.rgb)
        red, green, blue = (
            value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
            for value in channels
        )
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)
