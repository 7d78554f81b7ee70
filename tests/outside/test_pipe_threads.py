"""Pipe threads against the tables of ISO 228-1 (mm) and ASME B1.20.1 (inches)."""

from collections.abc import Iterator

import pytest

from cockpit.trade.threads import Thread, read_thread, standard_threads
from cockpit.units import LengthUnit, in_unit, read_length_mm
from tests.outside.checks import OutsideCheck, largest_deviation

# ISO 228-1: size, major diameter D, minor diameter D1, greatest minor diameter.
ISO_228_1 = {
    "1/16": (7.723, 6.561, 6.843),
    "1/8": (9.728, 8.566, 8.848),
    "1/4": (13.157, 11.445, 11.890),
    "3/8": (16.662, 14.950, 15.395),
    "1/2": (20.955, 18.631, 19.172),
    "5/8": (22.911, 20.587, 21.128),
    "3/4": (26.441, 24.117, 24.658),
    "7/8": (30.201, 27.877, 28.418),
    "1": (33.249, 30.291, 30.931),
    "1 1/8": (37.897, 34.939, 35.579),
    "1 1/4": (41.910, 38.952, 39.592),
    "1 1/2": (47.803, 44.845, 45.485),
    "1 3/4": (53.746, 50.788, 51.428),
    "2": (59.614, 56.656, 57.296),
    "2 1/4": (65.710, 62.752, 63.392),
    "2 1/2": (75.184, 72.226, 72.866),
    "2 3/4": (81.534, 78.576, 79.216),
    "3": (87.884, 84.926, 85.566),
}

# ASME B1.20.1, basic dimensions: size, threads per inch, E0, E1, L1.
ASME_B1_20_1 = {
    "1/16": (27, 0.27118, 0.28118, 0.160),
    "1/8": (27, 0.36351, 0.37360, 0.1615),
    "1/4": (18, 0.47739, 0.49163, 0.2278),
    "3/8": (18, 0.61201, 0.62701, 0.240),
    "1/2": (14, 0.75843, 0.77843, 0.320),
    "3/4": (14, 0.96768, 0.98887, 0.339),
    "1": (11.5, 1.21363, 1.23863, 0.400),
    "1 1/4": (11.5, 1.55713, 1.58338, 0.420),
    "1 1/2": (11.5, 1.79609, 1.82234, 0.420),
    "2": (11.5, 2.26902, 2.29627, 0.436),
    "2 1/2": (8, 2.71953, 2.76216, 0.682),
    "3": (8, 3.34062, 3.38850, 0.766),
    "3 1/2": (8, 3.83750, 3.88881, 0.821),
    "4": (8, 4.33438, 4.38712, 0.844),
    "5": (8, 5.39073, 5.44929, 0.937),
    "6": (8, 6.44609, 6.50597, 0.958),
}


def parallel_threads() -> Iterator[tuple[float, float]]:
    for size, figures in ISO_228_1.items():
        thread = read_thread(f"G{size}")
        assert thread.minor_max_mm is not None
        ours = (thread.nominal_mm, thread.minor_min_mm, thread.minor_max_mm)
        yield from zip(ours, figures, strict=True)


def pitch_diameter_in(thread: Thread, depth_in: float) -> float:
    """The crests of a taper pipe thread stand 0.4 P inside of its pitch diameter."""
    assert thread.pitch_mm is not None
    depth_mm = read_length_mm(depth_in, LengthUnit.INCH)
    return in_unit(thread.minor_at_mm(depth_mm) + 0.8 * thread.pitch_mm, LengthUnit.INCH)


def taper_threads() -> Iterator[tuple[float, float]]:
    """Screwed on by hand, the small end of the pipe, E0, stands L1 below the face, E1."""
    for size, (tpi, small_end, face, engagement) in ASME_B1_20_1.items():
        thread = read_thread(f"{size}-{tpi} NPT")
        yield pitch_diameter_in(thread, 0), face
        yield pitch_diameter_in(thread, engagement), small_end


CHECKS = [
    OutsideCheck(
        "parallel pipe threads, major diameter and limits of the minor",
        "ISO 228-1, table of dimensions",
        "mm",
        # The standard rounds the height of the thread first, then doubles it.
        0.0015,
        lambda: largest_deviation(parallel_threads()),
    ),
    OutsideCheck(
        "taper pipe threads, pitch diameter at the face and at hand-tight engagement",
        "ASME B1.20.1, basic dimensions of NPT",
        "in",
        1.5e-5,
        lambda: largest_deviation(taper_threads()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_deviation_is_within_its_bound(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound


def test_only_a_size_that_is_not_checked_here_is_said_to_be_from_memory() -> None:
    checked = {
        *(read_thread(f"G{size}") for size in ISO_228_1),
        *(read_thread(f"{size} NPT") for size in ASME_B1_20_1),
    }
    for thread in standard_threads():
        if thread.series in ("G", "NPT"):
            assert ("from memory" in thread.sources["nominal_mm"]) == (thread not in checked)


@pytest.mark.parametrize("size", ISO_228_1)
def test_a_parallel_pipe_thread_is_as_wide_at_any_depth(size: str) -> None:
    thread = read_thread(f"G{size}")
    assert thread.minor_at_mm(30) == thread.minor_min_mm


@pytest.mark.parametrize("size", ASME_B1_20_1)
def test_a_taper_pipe_thread_loses_a_sixteenth_of_its_depth(size: str) -> None:
    thread = read_thread(f"{size} NPT")
    assert thread.minor_min_mm - thread.minor_at_mm(16) == pytest.approx(1)
    assert thread.minor_at_mm(16 * thread.minor_min_mm + 1) == 0
    assert thread.minor_max_mm is None
