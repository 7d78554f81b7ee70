"""The wear filter and its smoother, against the package filterpy and against plain conditioning."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import pytest
from filterpy.kalman import KalmanFilter

from cockpit.trade.smoothing import History
from cockpit.trade.wear import RATIO_DRIFT_SD, Wear
from tests.outside.checks import OutsideCheck, largest_deviation

Matrix = npt.NDArray[np.float64]
# New travel (mm), and the wear measured at its end with its standard deviation (mm); or no measure.
Step = tuple[float, tuple[float, float] | None]

BURNS = 300
# Finest and coarsest measurement, longest travel between two, mm: typical burns, and both ways to
# spoil the conditioning.
TYPICAL, SHARP, LONG = (0.01, 0.3, 8.0), (1e-3, 1e-2, 8.0), (0.01, 0.3, 200.0)


def burns(spread: tuple[float, float, float], seed: int) -> Iterator[tuple[Wear, list[Step]]]:
    """Draw beliefs and burns: sds between two bounds, evenly in their logarithm, and travels."""
    finest_mm, coarsest_mm, longest_mm = spread
    chance = np.random.default_rng(seed)
    for _ in range(BURNS):
        ratio, wear_mm = float(chance.uniform(0.0, 0.6)), 0.0
        steps: list[Step] = []
        for _ in range(int(chance.integers(2, 12))):
            new_mm = float(chance.uniform(0.01, longest_mm))
            wear_mm += ratio * new_mm
            sd_mm = float(np.exp(chance.uniform(np.log(finest_mm), np.log(coarsest_mm))))
            seen_mm = float(chance.normal(wear_mm, sd_mm))
            steps.append((new_mm, (seen_mm, sd_mm) if chance.random() < 0.6 else None))
        sds = chance.uniform(0.02, 0.3, 2)
        yield Wear(0.0, 0.25, float(sds[0]) ** 2, 0.0, float(sds[1]) ** 2), steps


def new_electrode(prior: Wear) -> Wear:
    return Wear.prior(prior.ratio, prior.ratio_sd)


def matrices(new_mm: float) -> tuple[Matrix, Matrix]:
    """Give transition and noise of some travel: an integrated Wiener process."""
    noise = np.array([[new_mm**3 / 3, new_mm**2 / 2], [new_mm**2 / 2, new_mm]])
    return np.array([[1.0, new_mm], [0.0, 1.0]]), RATIO_DRIFT_SD**2 * noise


def covariance(wear: Wear) -> Matrix:
    return np.array([[wear.var_wear, wear.cov], [wear.cov, wear.var_ratio]])


class Outside:
    """A burn through filterpy: means and covariances after every step, and its matrices."""

    def __init__(self, prior: Wear, steps: list[Step]) -> None:
        self.filter = KalmanFilter(dim_x=2, dim_z=1)
        self.filter.x, self.filter.P = np.array([prior.wear_mm, prior.ratio]), covariance(prior)
        self.filter.H = np.array([[1.0, 0.0]])
        self.means, self.covariances = [self.filter.x], [self.filter.P]
        # The method takes the matrices that lead to a node, not those that lead on from it.
        self.noises = [matrices(0.0), *(matrices(new_mm) for new_mm, _ in steps)]
        for (_, measured), (f, q) in zip(steps, self.noises[1:], strict=True):
            self.filter.predict(F=f, Q=q)
            if measured is not None:
                self.filter.update(measured[0], R=measured[1] ** 2)
            self.means.append(self.filter.x)
            self.covariances.append(self.filter.P)

    def smoothed(self) -> Iterator[tuple[Matrix, Matrix]]:
        fs, qs = zip(*self.noises, strict=True)
        means, covariances = np.array(self.means), np.array(self.covariances)
        told, spreads, _, _ = self.filter.rts_smoother(means, covariances, fs, qs)
        return zip(told, spreads, strict=True)


def conditioned(prior: Wear, steps: list[Step]) -> Iterator[tuple[Matrix, Matrix]]:
    """Wear and ratio at every node given all that was measured, from their joint distribution.

    No filter and no smoother: the nodes' joint normal distribution, conditioned by the textbook
    (C. E. Rasmussen, C. K. I. Williams, "Gaussian Processes for Machine Learning", 2006, eq. A.6).
    """
    places_mm = np.cumsum([0.0] + [new_mm for new_mm, _ in steps])
    seen = [(i, *measured) for i, (_, measured) in enumerate(steps, 1) if measured is not None]
    starts = [matrices(float(mm))[0] for mm in places_mm]
    means = [start @ np.array([prior.wear_mm, prior.ratio]) for start in starts]

    def joint(i: int, j: int) -> Matrix:
        near, far = sorted((float(places_mm[i]), float(places_mm[j])))
        noise = matrices(near)[1] @ matrices(far - near)[0].T
        drift: Matrix = noise if places_mm[i] <= places_mm[j] else noise.T
        return starts[i] @ covariance(prior) @ starts[j].T + drift

    among = np.array([[joint(i, j)[0, 0] for j, _, _ in seen] for i, _, _ in seen])
    among = among.reshape(len(seen), len(seen)) + np.diag([sd_mm**2 for _, _, sd_mm in seen])
    misses = np.array([wear_mm - means[i][0] for i, wear_mm, _ in seen])
    for node in range(len(places_mm)):
        across = np.array([joint(node, j)[:, 0] for j, _, _ in seen]).reshape(len(seen), 2)
        gain = np.linalg.solve(among, across).T
        yield means[node] + gain @ misses, joint(node, node) - gain @ across


def pairs(ours: Wear, mean: Matrix, spread: Matrix) -> Iterator[tuple[float, float]]:
    """Means and covariances, ours and theirs; over their size where that is more than one."""
    mine = (ours.wear_mm, ours.ratio, ours.var_wear, ours.cov, ours.var_ratio)
    theirs = (*mean, spread[0, 0], spread[0, 1], spread[1, 1])
    for one, other in zip(mine, theirs, strict=True):
        size = max(1.0, abs(float(other)))
        yield one / size, float(other) / size


def filtered_pairs(spread: tuple[float, float, float]) -> Iterator[tuple[float, float]]:
    for i, (prior, steps) in enumerate(burns(spread, seed=1)):
        wear = new_electrode(prior) if i % 2 else prior
        outside = Outside(wear, steps)
        for n, (new_mm, measured) in enumerate(steps, 1):
            wear = wear.travelled(new_mm)
            wear = wear if measured is None else wear.measured(*measured)
            yield from pairs(wear, outside.means[n], outside.covariances[n])


def told(prior: Wear, steps: list[Step]) -> list[Wear]:
    """Our smoothed beliefs at every node; the history keeps only those with a measurement."""
    history, places_mm = History(prior), [0.0]
    for new_mm, measured in steps:
        history.travelled(new_mm)
        if measured is not None:
            history.measured(*measured)
        places_mm.append(history.now.travel_mm)
    return history.smoothed_at(places_mm)


def smoothed_pairs(spread: tuple[float, float, float]) -> Iterator[tuple[float, float]]:
    for prior, steps in burns(spread, seed=2):
        for ours, theirs in zip(told(prior, steps), Outside(prior, steps).smoothed(), strict=True):
            yield from pairs(ours, *theirs)


def conditioned_pairs() -> Iterator[tuple[float, float]]:
    """New electrodes, whose covariance cannot be inverted, and worn ones."""
    for i, (prior, steps) in enumerate(burns(TYPICAL, seed=3)):
        start = new_electrode(prior) if i % 2 else prior
        for ours, theirs in zip(told(start, steps), conditioned(start, steps), strict=True):
            yield from pairs(ours, *theirs)


UNIT = "mm and ratio, means and covariances; relative where over 1"
CHECKS = [
    OutsideCheck(
        f"wear filter, every step of {BURNS} drawn burns",
        "Kalman filter, as the package filterpy has it",
        UNIT,
        1e-9,
        lambda: largest_deviation(filtered_pairs(TYPICAL)),
    ),
    OutsideCheck(
        "the same with measurements good to 1 µm, and with up to 200 mm between them",
        "Kalman filter, as the package filterpy has it",
        UNIT,
        1e-9,
        lambda: max(largest_deviation(filtered_pairs(spread)) for spread in (SHARP, LONG)),
    ),
    OutsideCheck(
        f"wear with hindsight, every node of {BURNS} drawn burns",
        "Rauch-Tung-Striebel smoother, as the package filterpy has it",
        UNIT,
        1e-9,
        lambda: largest_deviation(smoothed_pairs(TYPICAL)),
    ),
    OutsideCheck(
        "the same with measurements good to 1 µm, and with up to 200 mm between them",
        "Rauch-Tung-Striebel smoother, as the package filterpy has it",
        UNIT,
        1e-9,
        lambda: max(largest_deviation(smoothed_pairs(spread)) for spread in (SHARP, LONG)),
    ),
    OutsideCheck(
        "wear with hindsight, half of the burns with a new electrode",
        "joint normal distribution conditioned on all measurements at once, numpy",
        UNIT,
        1e-9,
        lambda: largest_deviation(conditioned_pairs()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_wear_agrees(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound
