"""The wear filter, against the same filter in plain matrices."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import expm

from cockpit.trade.wear import RATIO_DRIFT_SD, Wear

Matrix = npt.NDArray[np.float64]

travels = st.floats(0.0, 40.0)
ratios = st.floats(0.0, 0.8)
sds = st.floats(0.01, 0.4)
steps = st.lists(
    st.one_of(
        st.tuples(st.just("travel"), travels, st.just(0.0)),
        st.tuples(st.just("measure"), st.floats(-0.3, 20.0), st.floats(0.01, 0.5)),
    ),
    max_size=12,
)


def covariance(wear: Wear) -> Matrix:
    return np.array([[wear.var_wear, wear.cov], [wear.cov, wear.var_ratio]])


def agrees(one: Wear, other: Wear) -> bool:
    return (one.wear_mm, one.ratio) == pytest.approx(
        (other.wear_mm, other.ratio), rel=1e-9, abs=1e-9
    ) and bool(np.allclose(covariance(one), covariance(other), rtol=1e-9, atol=1e-9))


class Matrices:
    """A Kalman filter as the textbooks have it; noise of the drift by Van Loan's integral.

    C. F. Van Loan, "Computing integrals involving the matrix exponential", IEEE Trans. Automatic
    Control 23 (1978) 395-404. The update is Joseph's form.
    """

    def __init__(self, mean: float, sd: float) -> None:
        self.x: Matrix = np.array([0.0, mean])
        self.p: Matrix = np.diag([0.0, sd * sd])

    def travelled(self, new_mm: float) -> None:
        drift: Matrix = np.array([[0.0, 1.0], [0.0, 0.0]])
        noise: Matrix = np.diag([0.0, RATIO_DRIFT_SD**2])
        block = expm(np.block([[-drift, noise], [np.zeros((2, 2)), drift.T]]) * new_mm)
        f = block[2:, 2:].T
        self.x = f @ self.x
        self.p = f @ self.p @ f.T + f @ block[:2, 2:]

    def measured(self, wear_mm: float, sd_mm: float) -> None:
        h: Matrix = np.array([[1.0, 0.0]])
        spread = h @ self.p @ h.T + sd_mm * sd_mm
        gain = self.p @ h.T / spread
        keep = np.eye(2) - gain @ h
        self.x = self.x + (gain * (wear_mm - self.x[0])).ravel()
        self.p = keep @ self.p @ keep.T + gain @ gain.T * sd_mm * sd_mm


@given(mean=ratios, sd=sds, steps=steps)
def test_any_history_agrees_with_plain_matrices(
    mean: float, sd: float, steps: list[tuple[str, float, float]]
) -> None:
    wear, matrices = Wear.prior(mean, sd), Matrices(mean, sd)
    for what, value_mm, sd_mm in steps:
        if what == "travel":
            wear = wear.travelled(value_mm)
            matrices.travelled(value_mm)
        else:
            wear = wear.measured(value_mm, sd_mm)
            matrices.measured(value_mm, sd_mm)
    assert [wear.wear_mm, wear.ratio] == pytest.approx(list(matrices.x), rel=1e-9, abs=1e-9)
    assert np.allclose(covariance(wear), matrices.p, rtol=1e-9, atol=1e-9)


@given(mean=ratios, sd=sds, pieces=st.lists(st.floats(0.0, 3.0), min_size=1, max_size=30))
def test_cutting_the_travel_into_pieces_changes_nothing(
    mean: float, sd: float, pieces: list[float]
) -> None:
    cut = Wear.prior(mean, sd)
    for piece in pieces:
        cut = cut.travelled(piece)
    assert agrees(cut, Wear.prior(mean, sd).travelled(math.fsum(pieces)))


@given(mean=ratios, sd=sds, steps=steps, value_mm=st.floats(-1.0, 30.0), sd_mm=sds)
def test_a_measurement_never_widens(
    mean: float, sd: float, steps: list[tuple[str, float, float]], value_mm: float, sd_mm: float
) -> None:
    before = Wear.prior(mean, sd)
    for what, mm, noise_mm in steps:
        before = before.travelled(mm) if what == "travel" else before.measured(mm, noise_mm)
    after = before.measured(value_mm, sd_mm)
    assert after.sd_mm <= before.sd_mm
    assert after.ratio_sd <= before.ratio_sd
    assert after.sd_mm <= sd_mm
    assert np.linalg.eigvalsh(covariance(after)).min() >= -1e-12


def test_a_gauge_that_claims_the_impossible_breaks_nothing() -> None:
    wear = Wear.prior(0.25, 0.5)
    for n in range(200):
        wear = wear.travelled(1.0).measured(0.25 * n, 1e-12)
        assert wear.ratio_sd >= 0.0
        assert wear.sd_mm >= 0.0


def test_the_wear_of_a_burn_in_round_figures() -> None:
    # 12 mm at 0.25 ± 0.10 wear 3.0 ± 1.2 mm; a touch-off 0.6 mm on, at sd 0.03, is believed almost
    # wholly, and makes the ratio 3.6 / 12.
    wear = Wear.prior(0.25, 0.10).travelled(12.0, drift_sd=0.0)
    assert (wear.wear_mm, wear.sd_mm) == pytest.approx((3.0, 1.2))
    touched = wear.measured(3.6, 0.03)
    assert touched.wear_mm == pytest.approx(3.6, abs=0.001)
    assert touched.ratio == pytest.approx(0.30, abs=0.001)
    assert touched.ratio_sd == pytest.approx(0.03 / 12, rel=0.01)
