"""The shipped checklist."""

from cockpit.trade.checks import Checklist


def test_the_order_is_the_way_of_the_hand(checklist: Checklist) -> None:
    assert [item.key for item in checklist.setup] == [
        "cautions",
        "ground",
        "clamp",
        "dam",
        "electrode",
        "centre",
        "zero",
        "gauge",
        "stop",
        "current",
        "flush",
        "feed",
        "eyes",
        "guard",
    ]


def test_what_matters_for_safety_cannot_be_passed_over(checklist: Checklist) -> None:
    safety = {item.key for item in checklist.setup if item.safety}
    assert safety == {"ground", "clamp", "cautions", "stop", "eyes", "guard"}


def test_the_guard_is_last_and_comes_again_after_the_pilot(checklist: Checklist) -> None:
    again = [item.key for item in checklist.setup if item.again_after_pilot]
    assert again == ["guard"] == [checklist.setup[-1].key]


def test_figures_and_live_items_are_where_they_are_needed(checklist: Checklist) -> None:
    assert {item.key: item.shows for item in checklist.setup if item.shows} == {
        "cautions": "cautions",
        "clamp": "square",
        "centre": "centre",
        "electrode": "electrode",
        "stop": "stop",
        "current": "current",
        "flush": "flush",
    }
    assert {item.key: item.live for item in checklist.setup if item.live} == {
        "zero": "zero",
        "gauge": "gauge",
    }


def test_every_key_is_there_once_and_every_text_fits_a_narrow_screen(checklist: Checklist) -> None:
    items = [*checklist.daily, *checklist.setup]
    assert len({item.key for item in items}) == len(items)
    assert max(len(item.title) for item in items) <= 28
    assert max(len(text) for item in items for text in (item.look, item.right)) <= 90
    assert 3 <= len(checklist.daily) <= 6
