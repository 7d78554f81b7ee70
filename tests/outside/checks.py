"""What a comparison with something outside of this project is: a source, a bound, a deviation."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OutsideCheck:
    """One comparison: ``deviation`` works out the largest over all compared values, in ``unit``."""

    what: str
    source: str
    unit: str
    bound: float
    deviation: Callable[[], float]

    def __str__(self) -> str:
        return self.what


def largest_deviation(pairs: Iterable[tuple[float, float]]) -> float:
    """Give the largest difference between ours and theirs; nothing to compare is an error."""
    return max(abs(ours - theirs) for ours, theirs in pairs)
