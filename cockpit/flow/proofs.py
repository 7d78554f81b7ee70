"""What is asked of a finished hole, and which answer goes without saying."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cockpit.log.rows import Result

NO_THREAD = "no thread"
GO_STOPS, NO_GO_PASSES = "go does not pass", "no-go passes"
LEFT, TOUCHED = "something left", "touched by the burn"
NOT_GAUGED = "not gauged"
NOT_SEEN = "not looked at"


@dataclass(frozen=True, slots=True)
class Proof:
    """One thing to be said of a finished hole; the ordinary answer is the first unless named.

    Nothing that has to be measured is ordinary: a key alone must not say that it was.
    """

    key: str
    asks: str
    answers: tuple[str, ...]
    usual: str = ""

    @property
    def ordinary(self) -> str:
        """The answer that goes without saying where nothing is against it."""
        return self.usual or self.answers[0]


PROOFS = (
    Proof("result", "how did it end", tuple(Result)),
    Proof("chased", "thread chased", ("by hand to the old depth", "not chased", NO_THREAD)),
    Proof(
        "gauged",
        "gauged",
        ("go passes, no-go stops", GO_STOPS, NO_GO_PASSES, NOT_GAUGED),
        usual=NOT_GAUGED,
    ),
    Proof("bottom", "bottom of the hole", ("clean", LEFT, TOUCHED, NOT_SEEN)),
    Proof("marked", "marked on the part", ("yes", "no")),
)


@dataclass(frozen=True, slots=True)
class Ending:
    """What the log says of how a hole ended."""

    has_thread: bool = True
    is_past_limit: bool = False
    may_be_past_limit: bool = False
    is_measured: bool = True
    is_off_centre: bool = False
    is_through_hole: bool = False
    fell_through: bool = False
    at_target: bool = True

    @property
    def against_done(self) -> str:
        """What speaks against a hole that is simply done; empty if nothing does."""
        if self.is_off_centre:
            return "the spot was too far off centre"
        if self.against_clean:
            return self.against_clean
        if self.is_through_hole and not self.fell_through:
            return "it never fell through"
        if not (self.at_target or self.fell_through):
            return "the target was never reached"
        if not (self.is_measured or self.fell_through):
            return "its depth was not measured after the last burn"
        return ""

    @property
    def against_clean(self) -> str:
        """What speaks against a bottom that nobody has to look at; empty if nothing does."""
        if self.is_past_limit:
            return "the bottom limit was passed"
        return "the bottom limit may be passed" if self.may_be_past_limit else ""

    @property
    def may_have_met_bottom(self) -> bool:
        """Whether the electrode fell towards a bottom that nobody has seen since."""
        return self.fell_through and not self.is_through_hole


@dataclass(frozen=True, slots=True)
class Ordinary:
    """The answer that goes without saying; without one ``why_not`` says why it has to be picked."""

    answer: str = ""
    why_not: str = ""


#: What an answer says against a hole that is done.
_AGAINST = {
    GO_STOPS: "the go gauge does not pass",
    NO_GO_PASSES: "the no-go gauge passes",
    LEFT: "something is left at the bottom",
    TOUCHED: "the burn touched the bottom",
}


def against_answers(said: Mapping[str, str]) -> str:
    """Say what of the answers speaks against a hole that is done; empty if nothing does.

    >>> against_answers({"result": "done", "gauged": "no-go passes", "bottom": "something left"})
    'the no-go gauge passes, and something is left at the bottom'
    """
    return ", and ".join(_AGAINST[answer] for answer in said.values() if answer in _AGAINST)


def ordinary(proof: Proof, said: Mapping[str, str], ending: Ending) -> Ordinary:
    """Give the answer that the big key gives, after what was ``said`` so far.

    Nothing is offered that the log contradicts, and nothing of a hole that did not end well.

    >>> str(ordinary(PROOFS[0], {}, Ending()).answer)
    'done'
    >>> ordinary(PROOFS[0], {}, Ending(at_target=False)).why_not
    'the target was never reached'
    """
    if proof.key == "result":
        against = ending.against_done
        return Ordinary(why_not=against) if against else Ordinary(proof.ordinary)
    result = said.get("result")
    if result != Result.DONE:
        return Ordinary(why_not=f"the hole is {result}")
    if proof.key == "chased" and not ending.has_thread:
        return Ordinary(NO_THREAD)
    if proof.key == "bottom" and ending.against_clean:
        return Ordinary(why_not=ending.against_clean)
    if proof.key == "bottom" and ending.may_have_met_bottom:
        return Ordinary(NOT_SEEN)
    if proof.key in ("chased", "gauged") and ending.is_off_centre:
        return Ordinary(why_not="the spot was too far off centre")
    return Ordinary(proof.ordinary)
