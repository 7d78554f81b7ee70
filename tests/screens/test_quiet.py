import gc
from collections.abc import Iterator
from weakref import ref

import pytest

from cockpit.screens.shared.quiet import YOUNG, tidy_up


@pytest.fixture(autouse=True)
def as_it_was() -> Iterator[None]:
    held = gc.get_threshold()
    yield
    gc.enable()
    gc.unfreeze()
    gc.set_threshold(*held)


class Cycle:
    def __init__(self) -> None:
        self.me = self


def test_what_nobody_needs_is_gone_and_what_stays_is_not_looked_through_again() -> None:
    gc.disable()
    stays, gone = Cycle(), ref(Cycle())
    assert gone() is not None
    tidy_up()
    assert gone() is None
    assert all(one is not stays for one in gc.get_objects()), "set aside"
    assert gc.get_threshold()[0] == YOUNG


def test_what_was_set_aside_and_is_not_needed_any_more_is_gone_with_the_next_screen() -> None:
    gc.disable()
    held = Cycle()
    gone = ref(held)
    tidy_up()
    del held
    assert gone() is not None
    tidy_up()
    assert gone() is None
