"""The log searched as somebody types finds what the log itself finds."""

from __future__ import annotations

import pytest

from cockpit.flow.search import HoleSearch
from cockpit.log import questions
from tests.log.conftest import TICKET, Bench, bench

__all__ = ["bench"]


@pytest.mark.parametrize("text", ["", "QUILL", "flange", "m10", "öst", "MT", "zzz", "\n"])
def test_it_finds_what_the_log_finds(bench: Bench, text: str) -> None:
    bench.take_in()
    bench.take_in(TICKET, customer="Quillstone Gears", reference="QG-41", part="rocker arm")
    bench.take_in(TICKET.model_copy(update={"hole": "boss 7"}), customer="ÖSTREL Boatworks")
    every = questions.shift_log(bench.store.connection)
    assert len(every) == 3
    assert HoleSearch(every).find(text) == questions.shift_log(bench.store.connection, text=text)
