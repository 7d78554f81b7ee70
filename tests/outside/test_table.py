"""The table of what was checked against what is the one that the checks give."""

from pathlib import Path

from tests.outside import (
    test_chances,
    test_common_practice,
    test_flush_physics,
    test_learning,
    test_metric_threads,
    test_money,
    test_pipe_threads,
    test_run_length,
    test_unified_threads,
    test_unit_definitions,
    test_wear_filter,
)
from tests.outside.checks import OutsideCheck, table

MODULES = (
    test_unified_threads,
    test_metric_threads,
    test_pipe_threads,
    test_flush_physics,
    test_chances,
    test_learning,
    test_money,
    test_wear_filter,
    test_run_length,
    test_unit_definitions,
    test_common_practice,
)
CHECKS: list[OutsideCheck] = [check for module in MODULES for check in module.CHECKS]
PAGE = Path(__file__).with_name("CHECKED.md")


def test_no_module_is_left_out() -> None:
    names = {path.stem for path in Path(__file__).parent.glob("test_*.py")} - {"test_table"}
    assert {module.__name__.rpartition(".")[2] for module in MODULES} == names
    assert all(module.CHECKS for module in MODULES)


def test_the_page_has_the_deviations_as_they_are_now() -> None:
    """When this fails, scripts/outside_table.py writes the page anew; look at what has changed."""
    assert table(CHECKS) in PAGE.read_text(encoding="utf-8")
