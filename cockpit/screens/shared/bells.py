"""The terminal's bell, in a rhythm."""

from __future__ import annotations

from textual.app import App

from cockpit.sound.rhythms import bells_s


def play(app: App[None], rhythm: str) -> None:
    """Sound a rhythm once, without holding anything up."""
    for delay_s in bells_s(rhythm):
        if delay_s:
            app.set_timer(delay_s, app.bell)
        else:
            app.bell()
