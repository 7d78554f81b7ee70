"""Which answer of an outcome goes without saying."""

import pytest

from cockpit.flow.proofs import NO_THREAD, NOT_GAUGED, NOT_SEEN, PROOFS, Ending, ordinary

BY_KEY = {proof.key: proof for proof in PROOFS}
DONE = {"result": "done"}


@pytest.mark.parametrize(
    ("ending", "why_not"),
    [
        (Ending(is_past_limit=True), "the bottom limit was passed"),
        (Ending(is_off_centre=True), "the spot was too far off centre"),
        (Ending(is_through_hole=True, at_target=True), "it never fell through"),
        (Ending(at_target=False), "the target was never reached"),
        (Ending(may_be_past_limit=True), "the bottom limit may be passed"),
        (Ending(is_measured=False), "its depth was not measured after the last burn"),
    ],
)
def test_what_the_log_contradicts_has_to_be_said(ending: Ending, why_not: str) -> None:
    usual = ordinary(BY_KEY["result"], {}, ending)
    assert (usual.answer, usual.why_not) == ("", why_not)


@pytest.mark.parametrize(
    "ending",
    [
        Ending(),
        Ending(at_target=False, fell_through=True),
        Ending(is_through_hole=True, fell_through=True),
    ],
)
def test_a_hole_that_went_as_it_should_is_done(ending: Ending) -> None:
    said: dict[str, str] = {}
    for proof in PROOFS:
        usual = ordinary(proof, said, ending)
        by_hand = {"gauged": NOT_GAUGED}
        if ending.fell_through and not ending.is_through_hole:
            by_hand["bottom"] = NOT_SEEN
        assert usual.answer == by_hand.get(proof.key, proof.answers[0])
        assert usual.why_not == ""
        said[proof.key] = usual.answer
    assert said["result"] == "done"


@pytest.mark.parametrize("result", ["left for later", "given up", "damaged"])
def test_nothing_goes_without_saying_of_a_hole_that_is_not_done(result: str) -> None:
    for proof in PROOFS[1:]:
        usual = ordinary(proof, {"result": result}, Ending())
        assert (usual.answer, usual.why_not) == ("", f"the hole is {result}")


def test_a_bore_has_no_thread_to_chase() -> None:
    assert ordinary(BY_KEY["chased"], DONE, Ending(has_thread=False)).answer == NO_THREAD


def test_a_limit_that_was_passed_says_nothing_good_of_the_bottom() -> None:
    usual = ordinary(BY_KEY["bottom"], DONE, Ending(is_past_limit=True))
    assert (usual.answer, usual.why_not) == ("", "the bottom limit was passed")
    usual = ordinary(BY_KEY["bottom"], DONE, Ending(may_be_past_limit=True))
    assert (usual.answer, usual.why_not) == ("", "the bottom limit may be passed")


@pytest.mark.parametrize("key", ["chased", "gauged"])
def test_a_spot_off_centre_says_nothing_good_of_the_thread(key: str) -> None:
    assert ordinary(BY_KEY[key], DONE, Ending(is_off_centre=True)).answer == ""


def test_the_first_answer_is_one_of_those_that_may_be_given() -> None:
    for proof in PROOFS:
        for ending in (Ending(), Ending(has_thread=False)):
            usual = ordinary(proof, DONE, ending)
            assert usual.answer in proof.answers
