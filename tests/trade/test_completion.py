"""What is offered while a thread or a name is being typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.cautions import Material, find_material
from cockpit.trade.completion import MOST_OFFERED, complete_name, complete_thread
from cockpit.trade.errors import TicketError
from cockpit.trade.threads import read_thread, standard_threads

ANY_STANDARD = st.sampled_from([thread.designation for thread in standard_threads()])


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("M10", ("M10x1.5", "M10x1.25", "M10x1", "M10x0.75")),
        ("m 10", ("M10x1.5", "M10x1.25", "M10x1", "M10x0.75")),
        ("M10x1", ("M10x1.5", "M10x1.25")),
        ("m10 x 1,2", ("M10x1.25",)),
        ("1/4", ("1/4-20 UNC", "1/4-28 UNF", "1/4-32 UNEF", "G1/4", "1/4-18 NPT")),
        ("1/4-2", ("1/4-20 UNC", "1/4-28 UNF")),
        ("1/4 unf", ("1/4-28 UNF",)),
        ("UNC 1/4", ("1/4-20 UNC",)),
        ("10", ("M10x1.5", "#10-24 UNC", "M10x1.25", "M10x1", "M10x0.75", "#10-32 UNF")),
        ("#10", ("#10-24 UNC", "#10-32 UNF")),
        ("G1/", ("G1/16", "G1/8", "G1/4", "G1/2")),
        ("pin 8", ("pin 8 mm", "pin 8 in")),
        ("pin 8 mm", ()),
        ("", ()),
        ("M", ()),
        ("lots", ()),
    ],
)
def test_what_goes_on_from_what_was_typed_is_offered(typed: str, offered: tuple[str, ...]) -> None:
    assert complete_thread(typed) == offered


@given(ANY_STANDARD, st.data())
def test_what_is_offered_reads_back_as_what_it_says(designation: str, data: st.DataObject) -> None:
    offered = complete_thread(designation[: data.draw(st.integers(0, len(designation)))])
    assert len(offered) <= MOST_OFFERED
    assert all(read_thread(one).designation == one for one in offered)
    assert designation not in complete_thread(designation)


def test_every_standard_thread_is_offered_before_it_is_typed_out() -> None:
    names = [thread.designation for thread in standard_threads()]
    late = [name for name in names if name not in complete_thread(name[:-1])]
    # Nothing is left of these but a letter, of which there would be too many.
    assert late == ["G1", "G2", "G3", "G4", "G5", "G6"]


def test_names_that_begin_like_it_come_before_those_that_hold_it_and_those_near_it() -> None:
    names = ("cast iron", "stainless steel", "alloy steel", "brass or bronze", "magnesium")
    assert complete_name(names, "ST") == ("stainless steel",)
    assert complete_name(names, "steel") == ("stainless steel", "alloy steel")
    assert complete_name(names, "bronse") == ()
    assert complete_name(names, "magnesuim") == ("magnesium",)
    assert complete_name(names, "") == ()


def test_a_material_that_is_none_of_the_shops_is_refused_with_those_near_it() -> None:
    shop = [Material(name="cast iron"), Material(name="magnesium"), Material(name="titanium")]
    with pytest.raises(TicketError, match=r'^Say magnesium: "magnesuim" is not known here\.$'):
        find_material(shop, "magnesuim")
    with pytest.raises(TicketError, match="Say one of cast iron, magnesium, titanium"):
        find_material(shop, "butter")
