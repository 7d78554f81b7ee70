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


def table(checks: Iterable[OutsideCheck]) -> str:
    """Give the checks as a table in Markdown, with the largest deviation of each."""
    lines = [
        "| what | outside source | largest deviation seen | bound | unit |",
        "| --- | --- | --- | --- | --- |",
    ]
    for check in checks:
        seen, bound = _figure(check.deviation()), _figure(check.bound)
        lines.append(f"| {check.what} | {check.source} | {seen} | {bound} | {check.unit} |")
    return "\n".join(lines) + "\n"


def _figure(number: float) -> str:
    """Two figures; what is only rounding in the last places of a float is no deviation."""
    return "none" if number < 1e-12 else f"{number:.2g}"
