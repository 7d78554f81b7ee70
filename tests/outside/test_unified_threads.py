"""Unified threads against the limits of ASME B1.1-2019 that the package screw-thread-lib has."""

import pytest
from screw_thread_lib.data import ASME_UN_2A2B_dict

from cockpit.trade.threads import read_thread
from cockpit.units import LengthUnit, in_unit

# The standard gives the internal minor diameter to three places; numbers in inches.
LAST_PLACE_IN = 0.0006

SERIES = ("UNC", "UNF")
TABLE = {name: row for name, row in ASME_UN_2A2B_dict.items() if row["series"] in SERIES}


def test_the_table_has_what_is_compared() -> None:
    assert len(TABLE) >= 10


@pytest.mark.parametrize("name", TABLE)
def test_size_series_and_minor_diameter_limits_of_class_2b(name: str) -> None:
    row, thread = TABLE[name], read_thread(name)
    assert thread.series == row["series"]
    assert thread.minor_max_mm is not None
    assert in_unit(thread.nominal_mm, LengthUnit.INCH) == pytest.approx(row["dbsc"], abs=1e-9)
    assert in_unit(thread.minor_min_mm, LengthUnit.INCH) == pytest.approx(
        row["D1min"], abs=LAST_PLACE_IN
    )
    assert in_unit(thread.minor_max_mm, LengthUnit.INCH) == pytest.approx(
        row["D1max"], abs=LAST_PLACE_IN
    )


def test_a_thread_of_a_series_the_cockpit_lacks_is_taken_as_special() -> None:
    row, thread = ASME_UN_2A2B_dict["1-14"], read_thread("1-14 UNS", special=True)
    assert thread.minor_max_mm is not None
    limits = [in_unit(mm, LengthUnit.INCH) for mm in (thread.minor_min_mm, thread.minor_max_mm)]
    assert limits == pytest.approx([row["D1min"], row["D1max"]], abs=LAST_PLACE_IN)
