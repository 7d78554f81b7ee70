"""What a comparison with something outside of this project is: a source, a bound, a deviation."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

# What is only rounding in the last places of floats is no deviation, and not the same on every
# computer.
ROUNDING = 1e-9


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


def table(checks: Iterable[OutsideCheck]) -> str:
    """Give the checks as a table in Markdown, with the largest deviation of each."""
    lines = [
        "| what | outside source | largest deviation seen | bound | unit |",
        "| --- | --- | --- | --- | --- |",
    ]
    for check in checks:
        deviation = check.deviation()
        seen = "none" if deviation < ROUNDING else f"{deviation:.2g}"
        lines.append(
            f"| {check.what} | {check.source} | {seen} | {check.bound:.2g} | {check.unit} |"
        )
    return "\n".join(lines) + "\n"
