"""Metric threads against published limits of the internal minor diameter, class 6H."""

import pytest
from screw_thread_lib.data import ASME_M_6g6H_dict

from cockpit.trade.threads import read_thread
from cockpit.units import LengthUnit, in_unit


@pytest.mark.parametrize(
    ("designation", "least_mm", "greatest_mm"),
    [
        # ISO 965-2, limits for 6H (from memory)
        ("M3", 2.459, 2.599),
        ("M8", 6.647, 6.912),
        ("M10", 8.376, 8.676),
    ],
)
def test_limits_of_iso_965_2(designation: str, least_mm: float, greatest_mm: float) -> None:
    thread = read_thread(designation)
    assert thread.minor_min_mm == pytest.approx(least_mm, abs=0.0005)
    assert thread.minor_max_mm == pytest.approx(greatest_mm, abs=0.0005)


@pytest.mark.parametrize("name", ASME_M_6g6H_dict)
def test_limits_of_asme_b1_13m(name: str) -> None:
    """ASME B1.13-2005, in inches to five places, as the package screw-thread-lib has them."""
    row, thread = ASME_M_6g6H_dict[name], read_thread(name.replace("-", "x"))
    assert thread.minor_max_mm is not None
    limits = [in_unit(mm, LengthUnit.INCH) for mm in (thread.minor_min_mm, thread.minor_max_mm)]
    # One in the fifth place of an inch, and half a micrometre for the table's own rounding.
    assert limits == pytest.approx([row["D1min"], row["D1max"]], abs=3e-5)
