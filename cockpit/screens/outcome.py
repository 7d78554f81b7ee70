"""How the hole ended, and what was proved: asked for, not assumed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.proofs import PROOFS, Ordinary, Proof, against_answers, ordinary
from cockpit.log.rows import Outcome, Result
from cockpit.screens.shared.strays import WaryScreen
from cockpit.units import read_length_mm, write_clock, write_length
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.block_figures import BlockWords
from cockpit.widgets.plain_text import PlainText, plain_content

#: The numbers of the answers, as they stand on a keyboard.
DIGITS = "123456789"


class OutcomeScreen(WaryScreen):
    """One question at a time: the big key gives the ordinary answer, a digit any of them.

    What the log contradicts the big key does not say. A word why, unless the hole is done.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "w,W",
            "width",
            "width",
            id="width",
            tooltip="How wide the burnt hole is: the next plans go by it",
        ),
    ]

    def body(self) -> Iterator[Widget]:
        yield BlockWords(id="large")
        yield PlainText(id="asks")
        yield AnswerInput(id="why", placeholder="a word why")
        yield PlainText(id="said")

    def begin(self) -> None:
        self._ending = self.hole.ending()
        self._ask_why()

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   outcome"

    @property
    def said(self) -> dict[str, str]:
        """What was answered so far; it stays with the hole when somebody steps back."""
        return self.hole.said

    @property
    def proof(self) -> Proof | None:
        """The question that is asked now; a hole left for later is proved later."""
        if self.said.get("result") == Result.LATER:
            return None
        return next((proof for proof in PROOFS if proof.key not in self.said), None)

    @property
    def ordinary(self) -> Ordinary:
        """What the big key answers to it."""
        proof = self.proof
        return Ordinary() if proof is None else ordinary(proof, self.said, self._ending)

    def show(self) -> None:
        if self.cockpit.hole is None:
            return
        proof = self.proof
        large = proof.asks if proof is not None else self.said["result"]
        self.query_one("#large", BlockWords).text = large
        self.query_one("#asks", Static).update("\n".join(self._choices()))
        lines = [plain_content(f"  {'burnt to':<22}{self._burnt()}")]
        lines += [
            plain_content(f"  {proof.asks:<22}{self.said.get(proof.key, '')}", self._style(proof))
            for proof in PROOFS
        ]
        if (width_mm := self.hole.width_mm) is not None:
            lines.append(plain_content(f"  {'burnt hole':<22}{write_length(width_mm, self.unit)}"))
        if why := self.said.get("why"):
            lines.append(plain_content(f"  {'why':<22}{why}"))
        self.query_one("#said", Static).update(Content("\n").join(lines))

    def _burnt(self) -> str:
        """What it came to, so that nobody answers for another hole."""
        state, target_mm = self.hole.live.state(), self.hole.plan.depth.target_mm
        reached = "not read"
        if state.depth_mm is not None:
            half_mm = (state.depth_mm.high - state.depth_mm.low) / 2
            least = "at least " if state.is_unseen else ""
            reached = f"{least}{write_length(state.depth_mm.mid, self.unit, with_unit=False)} ± "
            reached += write_length(half_mm, self.unit)
        target = write_length(target_mm, self.unit) + self.hole.plan.mark("depth.target_mm")
        return f"{reached}, target {target}, arc {write_clock(state.arc_s)}"

    def _style(self, proof: Proof) -> str:
        return "bold" if proof is self.proof else ""

    def _choices(self) -> Iterator[str]:
        proof, usual = self.proof, self.ordinary
        if proof is not None:
            against = f" {usual.why_not[:1].upper()}{usual.why_not[1:]}." if usual.why_not else ""
            yield f"{proof.asks}? Press the number of the answer.{against}"
            for number, answer in enumerate(proof.answers, 1):
                key = f"   or {self.big_key_name()}" if answer == usual.answer else ""
                yield f"  {number}  {answer}{key}"
        elif self._needs_why():
            yield f"{self.said['result']}: why? A word or two, then ENTER."
        else:
            if self.said["result"] == Result.DONE:
                yield from (f"Said to be done, though {one}." for one in self._against_done())
            yield "Is this right? Then close the hole."

    def _against_done(self) -> Iterator[str]:
        """What speaks against a hole that is done: what the log says, and what was answered."""
        yield from filter(None, (self._ending.against_done, against_answers(self.said)))

    def _needs_why(self) -> bool:
        return "why" not in self.said and self.said.get("result") not in (None, Result.DONE)

    def next_words(self) -> str:
        if self.cockpit.hole is None:
            return ""
        proof, usual = self.proof, self.ordinary
        if proof is not None:
            return f"{proof.asks}: {usual.answer}" if usual.answer else "nothing: press a number"
        if self._needs_why():
            return "keep the word why" if self.is_typing else ""
        return "close the hole"

    def next(self) -> None:
        proof, usual = self.proof, self.ordinary
        if proof is not None:
            if not usual.answer:
                raise ValueError(f"Press a number: {usual.why_not}.")
            self._answer(proof, usual.answer)
        elif not self._needs_why():
            said = dict(self.said)
            self.hole.close(Outcome(Result(said.pop("result")), **said))
            self.cockpit.hole_closed()

    def _answer(self, proof: Proof, answer: str) -> None:
        self.said[proof.key] = answer
        self._ask_why()

    def back(self) -> None:
        if self.said:
            self.said.popitem()
            self._ask_why()
            self.refresh_all()
        else:
            self.go_on(self.hole.back_from_outcome)

    def on_key(self, event: Key) -> None:
        if not self.is_ready:
            return
        proof = self.proof
        number = DIGITS.find(event.character or "?")
        if proof is not None and 0 <= number < len(proof.answers):
            event.stop()
            event.prevent_default()  # else it would count as a key that is none
            self._choose(proof, proof.answers[number])

    def is_gated(self, key: str) -> bool:
        return super().is_gated(key) or key in DIGITS

    def action_width(self) -> None:
        """How wide the burnt hole was measured."""
        asks = f"How wide is the burnt hole, measured across? Such as 5.9 mm; bare is {self.unit}"
        self.cockpit.ask_word(asks, self._keep_width, self.refresh_all)

    def _keep_width(self, text: str) -> None:
        self.hole.burnt_width(read_length_mm(text, self.unit))

    def _choose(self, proof: Proof, answer: str) -> None:
        self.complain("")
        self.is_astray = False
        self._answer(proof, answer)
        self.refresh_all()

    def _ask_why(self) -> None:
        field = self.query_one("#why", AnswerInput)
        field.display = self.proof is None and self._needs_why()
        if field.display:
            field.focus()
        else:
            self.set_focus(None)

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.refresh_next()

    @on(Input.Submitted)
    def _why(self, event: Input.Submitted) -> None:
        if event.value.strip():
            self.said["why"] = event.value.strip()
            self._ask_why()
            self.refresh_all()
