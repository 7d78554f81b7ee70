"""Cautions, and the materials that bring them."""

import pytest

from cockpit.trade.cautions import (
    GENERAL,
    Material,
    MaterialList,
    cautions_for,
    find_material,
    find_materials,
)
from cockpit.trade.errors import TicketError
from cockpit.trade.remnants import Kind, remnant_in
from cockpit.trade.threads import read_thread

M10 = read_thread("M10x1.5")
TAP = remnant_in(M10, Kind.TAP)


def test_a_plain_material_brings_the_general_cautions_alone() -> None:
    cautions = cautions_for([Material(name="unalloyed steel")], TAP)
    assert tuple(caution.text for caution in cautions) == GENERAL
    assert not any(caution.acknowledge for caution in cautions)


def test_a_material_that_changes_the_plan_comes_first_and_asks_for_a_word() -> None:
    first, *_ = cautions_for([Material(name="x", caution="Can burn.", acknowledge=True)], TAP)
    assert (first.text, first.acknowledge) == ("Can burn.", True)


def test_hard_metal_brings_its_own_caution() -> None:
    carbide = remnant_in(M10, Kind.TAP, hard_metal=True)
    cautions = cautions_for([Material(name="unalloyed steel")], carbide)
    assert "cobalt" in cautions[0].text
    assert cautions[0].acknowledge


def test_of_a_through_hole_somebody_looks_behind_it() -> None:
    """Common practice, no source."""
    behind, *general = cautions_for([Material(name="unalloyed steel")], TAP, through=True)
    assert behind.text.startswith("It falls through: look behind the hole")
    assert not behind.acknowledge
    assert tuple(caution.text for caution in general) == GENERAL


def test_an_unknown_material_is_refused_beside_its_field(materials: MaterialList) -> None:
    with pytest.raises(TicketError, match="unalloyed steel") as refusal:
        find_material(materials.materials, "unobtainium")
    assert refusal.value.field == "material"


def test_all_materials_that_need_a_word_are_shipped(materials: MaterialList) -> None:
    asked = {material.name for material in materials.materials if material.acknowledge}
    assert asked == {
        "magnesium",
        "titanium",
        "zirconium",
        "beryllium alloy",
        "plated with lead, cadmium or zinc",
        "stainless steel",
        "nickel or cobalt alloy",
        "hard metal",
        "held fuel, solvent or pressure",
    }
    assert all(material.caution for material in materials.materials if material.acknowledge)


def test_a_part_brings_the_cautions_of_all_that_it_is_made_of_and_held(
    materials: MaterialList,
) -> None:
    found = find_materials(materials.materials, "aluminium + plated+held")
    assert [material.name for material in found] == [
        "aluminium",
        "plated with lead, cadmium or zinc",
        "held fuel, solvent or pressure",
    ]
    powder, lead, fuel, *_ = cautions_for(found, TAP)
    assert "hydrogen" in powder.text
    assert not powder.acknowledge
    assert lead.text.startswith("Lead, cadmium")
    assert fuel.text.startswith("Vapour can explode")
    assert lead.acknowledge
    assert fuel.acknowledge


def test_materials_go_by_number_as_well_and_each_counts_once(materials: MaterialList) -> None:
    names = [material.name for material in materials.materials]
    found = find_materials(materials.materials, "4 + 14 + 4")
    assert [material.name for material in found] == [names[3], names[13]]


def test_a_name_with_a_plus_of_a_shop_of_its_own_is_that_name() -> None:
    shop = [Material(name="steel"), Material(name="steel + tin")]
    assert [one.name for one in find_materials(shop, "Steel + Tin")] == ["steel + tin"]


@pytest.mark.parametrize("names", ["aluminium + butter", "aluminium +", "99", "aluminium + 0"])
def test_one_that_is_none_of_several_is_refused(names: str, materials: MaterialList) -> None:
    with pytest.raises(TicketError, match="Say one of"):
        find_materials(materials.materials, names)
