"""How the hole ended, and what was proved: asked for, not assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from textual import on
from textual.content import Content
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.steps import Step
from cockpit.log.rows import Outcome, Result
from cockpit.screens.step import StepScreen
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.plain_text import PlainText, plain_content


@dataclass(frozen=True, slots=True)
class Proof:
    """One thing to be said of a finished hole; digits stand for the answers."""

    key: str
    asks: str
    answers: tuple[str, ...]


PROOFS = (
    Proof("result", "how did it end", tuple(Result)),
    Proof("chased", "thread chased", ("by hand to the old depth", "not chased", "no thread")),
    Proof(
        "gauged",
        "gauged",
        ("go passes, no-go stops", "go does not pass", "no-go passes", "not gauged"),
    ),
    Proof("bottom", "bottom of the hole", ("clean", "something left", "marked by the burn")),
    Proof("marked", "hole marked", ("yes", "no")),
)


class OutcomeScreen(StepScreen):
    """One question at a time, answered by a digit; a word why unless it is done."""

    def body(self) -> Iterator[Widget]:
        yield PlainText(id="said")
        yield PlainText(id="asks")
        yield AnswerInput(id="why", placeholder="a word why")

    def begin(self) -> None:
        self._said: dict[str, str] = {}
        self.query_one("#why").display = False

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   outcome"

    @property
    def proof(self) -> Proof | None:
        """The question that is asked now; a hole left for later is proved later."""
        if self._said.get("result") == Result.LATER:
            return None
        return next((proof for proof in PROOFS if proof.key not in self._said), None)

    def show(self) -> None:
        lines = [
            plain_content(f"  {proof.asks:<22}{self._said.get(proof.key, '')}", self._style(proof))
            for proof in PROOFS
        ]
        self.query_one("#said", Static).update(Content("\n").join(lines))
        self.query_one("#asks", Static).update("\n".join(self._choices()))

    def _style(self, proof: Proof) -> str:
        return "bold" if proof is self.proof else ""

    def _choices(self) -> Iterator[str]:
        proof = self.proof
        if proof is not None:
            yield f"{proof.asks}? Press the number of the answer."
            for number, answer in enumerate(proof.answers, 1):
                yield f"  {number}  {answer}"
        elif self._needs_why():
            yield f"{self._said['result']}: why? A word or two, then ENTER."

    def _needs_why(self) -> bool:
        return "why" not in self._said and self._said.get("result") not in (None, Result.DONE)

    def next_words(self) -> str:
        if self.proof is not None or self._needs_why():
            return "keep the word why" if self.is_typing else ""
        return "close the hole"

    def next(self) -> None:
        if self.proof is not None or self._needs_why():
            return
        said = dict(self._said)
        self.hole.close(Outcome(Result(said.pop("result")), **said))
        self.cockpit.hole_closed()

    def back(self) -> None:
        if self._said:
            self._said.popitem()
            self._ask_why()
            self.refresh_all()
        else:
            self.hole.back_to(Step.CLEANOUT)
            self.cockpit.to_bench()

    def on_key(self, event: Key) -> None:
        proof = self.proof
        if proof is not None and event.key.isdigit() and 1 <= int(event.key) <= len(proof.answers):
            event.stop()
            self._said[proof.key] = proof.answers[int(event.key) - 1]
            self._ask_why()
            self.refresh_all()
        else:
            super().on_key(event)

    def _ask_why(self) -> None:
        field = self.query_one("#why", AnswerInput)
        field.display = self.proof is None and self._needs_why()
        if field.display:
            field.focus()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.refresh_next()

    @on(Input.Submitted)
    def _why(self, event: Input.Submitted) -> None:
        if event.value.strip():
            self._said["why"] = event.value.strip()
            self._ask_why()
            self.set_focus(None)
            self.refresh_all()
