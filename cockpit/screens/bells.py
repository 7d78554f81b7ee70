"""What each call sounds like: the terminal's bell in a rhythm of its own."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from textual.app import App

from cockpit.burn.calls import CallKind

Deed = Callable[[], Awaitable[None] | None]

#: When the bell sounds, s after the call. Distinct in number and rhythm (assumed).
RHYTHMS: dict[CallKind, tuple[float, ...]] = {
    CallKind.NEAR: (0.0,),
    CallKind.TARGET: (0.0, 0.25, 0.5),
    CallKind.LIMIT: (0.0, 0.15, 0.3, 0.45, 0.6, 0.75),
    CallKind.THROUGH: (0.0, 0.15, 0.7, 0.85),
    CallKind.PILOT: (0.0, 0.25),
    CallKind.SHORT: (0.0, 0.6, 0.75),
    CallKind.STALLED: (0.0, 0.6),
    CallKind.SILENT: (0.0, 0.6, 1.2),
    CallKind.LOG: (0.0, 0.6, 1.2, 1.8),
    CallKind.JUMP: (0.0, 0.15),
    CallKind.LONG: (0.0, 1.0),
}


def ring(app: App[None], kind: CallKind) -> None:
    """Sound a call once, without holding anything up."""
    for delay_s in RHYTHMS[kind]:
        if delay_s:
            app.set_timer(delay_s, app.bell)
        else:
            app.bell()
