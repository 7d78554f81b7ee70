import pytest

from cockpit.burn.state import Span
from cockpit.screens.shared.words import about_time, depth_words
from cockpit.units import LengthUnit


def test_depth_is_trusted_by_half_its_interval_in_the_operators_unit() -> None:
    span = Span(11.746, 12.0, 12.254)
    assert depth_words(span, LengthUnit.MM) == "mm ± 0.25"
    assert depth_words(span, LengthUnit.INCH) == "in ± 0.0100"
    assert depth_words(None, LengthUnit.MM) == "mm"


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (None, ""),
        (Span(1, 2, 3), "to target about 10 s"),
        (Span(40, 59, 80), "to target about 60 s (40 to 80)"),
        (Span(40, 60, 80), "to target about 1 min (½ to 1½)"),
        (Span(0, 150, 615), "to target about 2½ min (now to 10)"),
    ],
)
def test_time_to_target_is_rounded_as_far_as_it_is_known(span: Span | None, words: str) -> None:
    assert about_time(span) == words
