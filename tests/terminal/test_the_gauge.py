"""The first start, in a real terminal: which gauge is not known, until an indicator is moved."""

from __future__ import annotations

import json
from pathlib import Path

from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import AFTER_LIVE_S, Indicator, Operator, cockpit

pytestmark = needs_pty


def leaves(operator: Operator) -> None:
    operator.terminal.press("ctrl+q")
    assert operator.terminal.wait_exit() == 0


def test_a_first_start_leads_to_the_gauge_and_the_next_one_uses_it(tmp_path: Path) -> None:
    data = tmp_path / "log"
    with Indicator(tmp_path / "truth.csv") as indicator:
        with cockpit(data) as terminal:
            operator = Operator(terminal, indicator)
            operator.sees("which gauge")
            operator.offers("go on, with readings typed by hand")
            terminal.press("p")
            operator.sees("a port or URL")
            terminal.type(indicator.port)
            operator.offers("listen to it")
            terminal.press("enter")
            operator.sees(rf"► serial-units +{indicator.port} +-2\.00 mm")
            operator.offers(rf"use serial-units on {indicator.port}, not seen to move")
            indicator.say("touch")
            operator.sees(rf"► serial-units +{indicator.port} +\S+ mm +moves")
            operator.space(rf"use serial-units on {indicator.port}(?m:$)", after_s=AFTER_LIVE_S)
            operator.sees(f"gauge +serial-units on {indicator.port}")
            leaves(operator)
        assert json.loads((data / "gauge.json").read_text("utf-8")) == {
            "profile": "serial-units",
            "port": indicator.port,
        }
        with cockpit(data) as terminal:
            operator = Operator(terminal, indicator)
            operator.sees(f"gauge +serial-units on {indicator.port}")
            # The last of its checks confirms itself only when the gauge is heard.
            operator.open_shift()
            operator.sees("gauge serial-units")
            leaves(operator)


def test_a_port_alone_leads_to_the_guide_to_it_and_typing_is_two_lines_above(
    tmp_path: Path,
) -> None:
    data = tmp_path / "log"
    with Indicator(tmp_path / "truth.csv", "--inch") as indicator:
        with cockpit(data, "--port", indicator.port) as terminal:
            operator = Operator(terminal, indicator)
            operator.sees(rf"► serial-units +{indicator.port} +-\d\.\d\d mm")
            terminal.press("up")
            operator.offers("go on, with readings typed by the gauge")
            terminal.press("up")
            operator.space("go on, with readings typed by hand", after_s=AFTER_LIVE_S)
            operator.sees("gauge +typed")
            leaves(operator)
        with cockpit(data) as terminal:
            operator = Operator(terminal, indicator)
            operator.sees("Who works at the machine")
            operator.sees("gauge +typed")
            terminal.press("ctrl+g")
            operator.sees("which gauge")
            terminal.press("backspace")
            operator.sees("Who works at the machine")
            leaves(operator)
    assert json.loads((data / "gauge.json").read_text("utf-8"))["profile"] == "typed"


def test_a_choice_that_can_not_be_read_is_one_sentence_on_the_guide(tmp_path: Path) -> None:
    (tmp_path / "gauge.json").write_text("{", encoding="utf-8")
    with cockpit(tmp_path) as terminal:
        operator = Operator(terminal)
        operator.sees("which gauge")
        operator.sees(r"pick\s+it\s+again\.")
        operator.space("go on, with readings typed by hand")
        operator.sees("Who works at the machine")
        leaves(operator)
    assert json.loads((tmp_path / "gauge.json").read_text("utf-8"))["profile"] == "typed"
