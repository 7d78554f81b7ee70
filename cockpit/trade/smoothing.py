"""The wear along a burn, as it looks once the burn is over.

While the arc is on, ``wear`` tells what is believed at the moment. A touch-off later on also says
something about the travel before it, because wear and ratio are correlated through that travel: the
history is narrower than the live estimate everywhere but at its end, where the two are one.

The process is Markov in travel, and exact however the travel is cut. So a history needs a node only
where something was measured, a handful in a hole; the belief at any travel between two of them
follows from the two, and costs the same in a record of a hundred thousand readings as in one of
ten.

Source: H. E. Rauch, F. Tung, C. T. Striebel, "Maximum Likelihood Estimates of Linear Dynamic
Systems", AIAA J. 3 (1965) 1445-1450, from memory.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from cockpit.trade.wear import RATIO_DRIFT_SD, Wear

# Less travel ahead than this is none, mm. A ratio that drifts less than this, per square root of a
# millimetre, is taken to drift so much. Both are far below all that can be measured, and leave
# something to divide by.
_NO_TRAVEL_MM: Final = 1e-9
_LEAST_DRIFT_SD: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Node:
    """What is believed of the wear after so much new travel into material, mm, from the start."""

    travel_mm: float
    wear: Wear


class History:
    """What the filter went through in one burn with one electrode, and the same with hindsight.

    Fed like the filter, and holds the very same belief as it:

    >>> history = History(Wear.prior(0.25, 0.10))
    >>> history.travelled(8.0)
    >>> history.measured(2.4, 0.03)
    >>> at_4, at_8 = history.smoothed_at([4.0, 8.0])

    Halfway, the live estimate was 1 ± 0.4 mm. The touch-off has since told:

    >>> f"{at_4.wear_mm:.2f} ± {at_4.sd_mm:.2f} mm, then {at_8.wear_mm:.2f} ± {at_8.sd_mm:.2f} mm"
    '1.20 ± 0.02 mm, then 2.40 ± 0.03 mm'
    """

    def __init__(self, prior: Wear, drift_sd: float = RATIO_DRIFT_SD) -> None:
        """``prior``: the belief at the start; ``drift_sd``: of the ratio, per square root of mm."""
        self._drift_sd = drift_sd
        self._kept = [Node(0.0, prior)]
        self._now = self._kept[0]

    @property
    def now(self) -> Node:
        """Where the filter stands, and what it believes there."""
        return self._now

    def travelled(self, new_mm: float) -> None:
        """Take ``new_mm`` of new travel into material (>= 0)."""
        wear = self._now.wear.travelled(new_mm, self._drift_sd)
        self._now = Node(self._now.travel_mm + new_mm, wear)

    def measured(self, wear_mm: float, sd_mm: float) -> None:
        """Take a measurement of the wear, made here, with its standard deviation (> 0)."""
        self.believed(self._now.wear.measured(wear_mm, sd_mm))

    def believed(self, wear: Wear) -> None:
        """Put what the filter came to here in the place of what was believed here before.

        For a measurement that was made again, whose first value must not be averaged in.
        """
        self._now = Node(self._now.travel_mm, wear)
        if self._kept[-1].travel_mm == self._now.travel_mm:
            self._kept.pop()
        self._kept.append(self._now)

    def smoothed(self) -> list[Node]:
        """The belief with hindsight at the start, wherever something was measured, and now."""
        return smoothed(self._filtered(), self._drift_sd)

    def smoothed_at(self, travels_mm: Iterable[float]) -> list[Wear]:
        """The belief with hindsight at each of ``travels_mm``, mm of new travel from the start.

        A travel outside of the history counts as the nearer end of it.
        """
        filtered = self._filtered()
        nodes = smoothed(filtered, self._drift_sd)
        places_mm = [node.travel_mm for node in nodes]

        def at(travel_mm: float) -> Wear:
            after = bisect_left(places_mm, travel_mm)
            if after == 0 or after == len(nodes):
                return nodes[min(after, len(nodes) - 1)].wear
            before, later = filtered[after - 1], nodes[after]
            wear = before.wear.travelled(travel_mm - before.travel_mm, self._drift_sd)
            return with_hindsight(wear, later.travel_mm - travel_mm, later.wear, self._drift_sd)

        return [at(travel_mm) for travel_mm in travels_mm]

    def _filtered(self) -> list[Node]:
        if self._now is self._kept[-1]:
            return self._kept
        return [*self._kept, self._now]


def smoothed(filtered: Sequence[Node], drift_sd: float = RATIO_DRIFT_SD) -> list[Node]:
    """What the nodes of a filter look like to one who knows how it went on.

    ``filtered``: in the order of travel, each with everything in it that was measured there. The
    last one stays as it is.
    """
    nodes: list[Node] = []
    for here in reversed(filtered):
        wear = here.wear
        if nodes:
            later = nodes[-1]
            wear = with_hindsight(wear, later.travel_mm - here.travel_mm, later.wear, drift_sd)
        nodes.append(Node(here.travel_mm, wear))
    return nodes[::-1]


def with_hindsight(
    here: Wear, ahead_mm: float, later: Wear, drift_sd: float = RATIO_DRIFT_SD
) -> Wear:
    """One step back: what the filter believed ``here``, told what was found out ``later``.

    ``later`` is the smoothed belief after ``ahead_mm`` more of new travel (>= 0); it is carried
    back over that travel and drawn upon by a gain. With P the covariance here, S the later one
    carried back, and Q the noise of the travel ahead as seen from here:

        gain         K = P (P + Q)⁻¹
        means        here + K (carried back - here)
        covariance   P (P + Q)⁻¹ Q  +  K S Kᵀ

    These are the equations of Rauch, Tung and Striebel, with everything seen from ``here`` instead
    of from the later node. The covariance is then a sum: what would stay open if all were known
    later, and what is open later. With two states both are written out by determinants, in which a
    new electrode, whose wear is known to be nil, is no special case: P has no inverse, P + Q has.

    >>> new = Wear.prior(0.25, 0.10)
    >>> told = with_hindsight(new, 8.0, new.travelled(8.0).measured(2.4, 0.03))
    >>> told.wear_mm, told.sd_mm, round(told.ratio, 2), round(told.ratio_sd, 2)
    (0.0, 0.0, 0.3, 0.01)
    """
    if ahead_mm < _NO_TRAVEL_MM:
        return later
    back = later.travelled(-ahead_mm, drift_sd=0.0)
    a, b, c, d = here.var_wear, here.cov, here.var_ratio, ahead_mm
    q = max(drift_sd, _LEAST_DRIFT_SD) ** 2 * d

    # Q = q N, N = ((d²/3, -d/2), (-d/2, 1)). The matrix t is P adj(N); K is (det P + q t) over
    # det(P + Q), all of it divided by q.
    t11, t12 = a + b * d / 2, (a / 2 + b * d / 3) * d
    t21, t22 = b + c * d / 2, (b / 2 + c * d / 3) * d
    det = max(0.0, a * c - b * b)
    det_p, det_q = det / q, q * d * d / 12
    det_sum = det_p + t11 + t22 + det_q

    k11, k12 = (det_p + t11) / det_sum, t12 / det_sum
    k21, k22 = t21 / det_sum, (det_p + t22) / det_sum
    open_p, open_n = det_q / det_sum, det / det_sum

    def drawn(x: float, y: float, u: float, v: float) -> float:
        """An element of K S Kᵀ, from the two rows of K that it takes."""
        return x * u * back.var_wear + (x * v + y * u) * back.cov + y * v * back.var_ratio

    wear_off_mm, ratio_off = back.wear_mm - here.wear_mm, back.ratio - here.ratio
    return Wear(
        here.wear_mm + k11 * wear_off_mm + k12 * ratio_off,
        here.ratio + k21 * wear_off_mm + k22 * ratio_off,
        # Never below zero, where only rounding could bring them.
        max(0.0, open_p * a + open_n * d * d / 3 + drawn(k11, k12, k11, k12)),
        open_p * b - open_n * d / 2 + drawn(k11, k12, k21, k22),
        max(0.0, open_p * c + open_n + drawn(k21, k22, k21, k22)),
    )
