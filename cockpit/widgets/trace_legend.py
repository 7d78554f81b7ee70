"""The signs of a drawn burn, and the legend that spells them out."""

from __future__ import annotations

from typing import Final

from cockpit.flow.past_trace import PastTrace, Sign, SignKind
from cockpit.flow.plot import MORE
from cockpit.units import write_clock
from cockpit.widgets.picture import Ink

#: How each is written, and its plain form.
SIGNS: Final = {
    SignKind.CALLED: ("!", "!"),
    SignKind.CHANGED: ("▲", "^"),
    SignKind.MEASURED: ("●", "@"),
}
_INKS: Final = {
    SignKind.CALLED: Ink.MOVE,
    SignKind.CHANGED: Ink.CENTRE,
    SignKind.MEASURED: Ink.THREAD,
}
_BAND: Final = ("⢕", ":")


def legend(trace: PastTrace, is_plain: bool, *, is_over: bool) -> list[str]:
    """What each letter stands for, and what is not labelled beside the drawing.

    ``is_over``: more fell due at one moment than there are lanes.
    """
    told = {f"{SIGNS[one.kind][is_plain]}{one.letter} {one.words}": one for one in trace.signs}
    kinds = list(SignKind)
    items = sorted(told, key=lambda item: kinds.index(told[item].kind))
    if trace.unread:
        silent = write_clock(sum(end_s - begin_s for begin_s, end_s in trace.unread))
        items.append(f"blank: gauge silent, {silent}")
    if is_over:
        items.append(f"{MORE} several more")
    return [f"{_BAND[is_plain]} 95 % of the depth", *items]


def ink_of(sign: Sign) -> Ink:
    """What a sign and its letter are written in."""
    return Ink.HARM if sign.is_harm else _INKS[sign.kind]
