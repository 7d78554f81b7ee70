"""What goes wrong in a round. Each takes the shop while its cockpit runs, and sees it through."""

from __future__ import annotations

import time
from collections.abc import Callable

from torture_shop import BACK_S, PATIENCE_S, Shop

from tests.terminal.shop import PATIENCE_S as GAUGE_PATIENCE_S

#: How long the plug is out, garbage comes, s. A gauge is called silent after 1 s.
OUT_S = (1.0, 4.0)
GARBAGE_S = (0.5, 3.0)
#: How far the date is off, s; and how often it is put wrong rather than right.
OFF_S = (3600.0, 5 * 86400.0)
WRONG = 0.7
#: How long the disk is full; how often the program is killed meanwhile; and how long what waited
#: may take to be written once it is freed, s of a program that has said nothing against it.
FULL_S = (1.0, 5.0)
KILLED_WHILE_FULL = 0.15
SETTLES_S = 0.6
#: How long a cockpit is looked at that was started on a full disk, s.
STARTS_S = 3.0
#: After so long no key is on its way any more, s.
SETTLED_S = 0.4
#: With the arc on and the line down for so long, the silence must have been called, s.
SILENT_BY_S = 2.0


def kill(shop: Shop) -> None:
    """SIGKILL, at any moment, or a moment after a key."""
    assert shop.operator is not None
    if shop.chance.random() < 0.6:
        hand = shop.operator
        shop.walk_until(lambda _: bool(hand.pressed), 2.0)
        time.sleep(shop.chance.uniform(0.0, 0.06))
    if shop.runs:
        shop.kill()


def leave(shop: Shop) -> None:
    """No fault at all: the cockpit is left by its key, from any screen, and then has kept all."""
    assert shop.operator is not None
    shop.is_leaving = True
    look = shop.operator.look
    shop.operator.press("ctrl+q")
    if look.arc_on or look.kind == "ticket":
        # With the arc on, or a ticket half filled in, it takes a second word.
        shop.operator.press("ctrl+q")
    until_s = time.monotonic() + PATIENCE_S
    while shop.runs and time.monotonic() < until_s:
        shop.wait(0.1)
    if shop.runs:
        shop.find("the cockpit is not left by its key")
    elif shop.has_ended():
        shop.witness.left()


def unplug(shop: Shop) -> None:
    """The line is gone for a while; the burn goes on."""
    out_s = shop.chance.uniform(*OUT_S)
    began_s = time.time()
    shop.machine(f"unplug {out_s:.3f}")
    _without_a_line(shop, out_s)
    _comes_back(shop, began_s, began_s + out_s)


def replace_gauge(shop: Shop) -> None:
    """The gauge is switched off and on again: another one, behind the same name."""
    out_s = shop.chance.uniform(*OUT_S)
    began_s = time.time()
    shop.stop_gauge()
    _without_a_line(shop, out_s, hands=False)
    shop.start_gauge()
    if shop.operator is not None and shop.operator.look.arc_on:
        shop.machine("burn")
    _comes_back(shop, began_s, time.time())


def garbage(shop: Shop) -> None:
    """Noise instead of readings."""
    lasts_s = shop.chance.uniform(*GARBAGE_S)
    began_s = time.time()
    shop.machine(f"garbage {lasts_s:.3f}")
    _without_a_line(shop, lasts_s)
    _comes_back(shop, began_s, began_s + lasts_s)


def _without_a_line(shop: Shop, lasts_s: float, *, hands: bool = True) -> None:
    """Keys answer, and with the arc on the silence is called. ``hands``: work goes on besides."""
    assert shop.operator is not None
    until_s, since_s = time.monotonic() + lasts_s, time.monotonic()
    _answers_a_key(shop)
    was_called = False
    while shop.runs and (left_s := until_s - time.monotonic()) > 0:
        if shop.operator.look.arc_on or not hands:
            shop.wait(min(0.1, left_s))
        else:
            shop.walk(min(0.1, left_s))
        if not shop.operator.look.arc_on:
            since_s = time.monotonic()
        was_called |= "silent" in shop.operator.look.calls or shop.operator.look.has_more_calls
        if shop.judge_times and time.monotonic() - since_s > SILENT_BY_S and not was_called:
            shop.find(f"the arc is on, no reading for {SILENT_BY_S:g} s, and silence is not called")


def _answers_a_key(shop: Shop) -> None:
    """A key that harms nobody changes the screen."""
    assert shop.operator is not None
    shop.wait(SETTLED_S)
    before = shop.operator.see()
    if before.is_typing or before.kind in ("?", "help", "word", "palette", "ticket", "shift"):
        return  # it would be typed, or there is nothing to see
    shop.operator.press("?")
    until_s = time.monotonic() + PATIENCE_S
    while shop.runs and time.monotonic() < until_s:
        if shop.operator.see().kind not in ("?", before.kind):
            if shop.operator.look.kind == "help":
                shop.operator.press("escape")
            return
        time.sleep(0.02)
    if shop.runs:
        shop.find(f"no key answers:\n{before.text}")


def _comes_back(shop: Shop, began_s: float, back_s: float) -> None:
    """A reading that was sent after the fault is in the log; how soon it was read, by the log.

    Where no reading is kept, somebody listens to the gauge at least; the next burn shows the rest.
    """
    shop.faults.append((began_s, back_s))
    until_s = time.time() + GAUGE_PATIENCE_S
    while shop.runs and time.time() < until_s:
        shop.wait(0.1)
        if not shop.keeps_readings():
            if shop.sent_since(back_s):
                return
        elif (read_s := shop.read_again_s(back_s)) is not None:
            shop.tally.back_s.append(read_s - back_s)
            if shop.judge_times and read_s - back_s > BACK_S:
                shop.find(f"the gauge was read again only after {read_s - back_s:.2f} s")
            return
    if shop.runs:
        shop.find("the gauge is not read any more")


def wrong_date(shop: Shop) -> None:
    """The clock on the wall is put hours or days ahead or back, or right again."""
    off_s = 0.0
    if shop.chance.random() < WRONG:
        off_s = shop.chance.choice((-1, 1)) * shop.chance.uniform(*OFF_S)
    shop.set_clock(off_s)
    shop.walk(shop.chance.uniform(1.0, 3.0))


def full_disk(shop: Shop) -> None:
    """Nothing can be written for a while. What waits is written afterwards, unless a kill comes."""
    began_s = shop.record.full_since_s = time.time()
    shop.witness.is_writable = False
    free = shop.fill_disk()
    shop.walk(shop.chance.uniform(*FULL_S))
    if shop.runs and shop.chance.random() < KILLED_WHILE_FULL:
        shop.kill()
        _start_on_a_full_disk(shop)
    free()
    if shop.runs:
        _is_written(shop, began_s)
    shop.record.full_since_s = float("inf")


def _is_written(shop: Shop, began_s: float) -> None:
    """What waited for the disk is written, and the screen says so."""
    shop.walk_until(lambda look: "log" not in look.calls, 0.3)
    until_s = time.monotonic() + PATIENCE_S
    while shop.runs and shop.says_it_cannot_write() and time.monotonic() < until_s:
        shop.walk(0.2)
    if shop.runs and shop.says_it_cannot_write():
        shop.find(f"{time.time() - began_s:.0f} s after the disk was freed nothing is written")
    if shop.runs:
        shop.wait(SETTLES_S)
        shop.witness.written()


def _start_on_a_full_disk(shop: Shop) -> None:
    """It starts, or says in a sentence why not; either way it is killed again."""
    shop.may_refuse = True
    shop.start()
    shop.witness.is_writable = False
    shop.walk(STARTS_S)
    if shop.runs:
        shop.kill()
    shop.may_refuse = False


Strike = Callable[[Shop], None]
#: Each kind of fault, and what may come of it.
FAULTS: dict[str, tuple[Strike, ...]] = {
    "killed": (kill,),
    "left": (leave,),
    "unplugged": (unplug, unplug, replace_gauge),
    "garbage": (garbage,),
    "clock set": (wrong_date,),
    "disk full": (full_disk,),
}
