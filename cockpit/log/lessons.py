"""What finished holes teach, as the log has it: a figure a hole, and which are set aside.

Reading only. A hole teaches once it is done; what it came to stands in its last tally. The newest
holes count: a shop is what it does these years, and nobody has to wait for its whole past.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite, nan
from typing import NamedTuple

from cockpit.log.asking import ask, each, unreadable
from cockpit.trade.electrodes import LEAST_GAP_MM
from cockpit.trade.experience import (
    WIDTH_SIDE_SD_MM,
    Groups,
    kind_named,
    log_rate,
    variance_of_a_burn,
    weight_beside,
)
from cockpit.trade.learning import Assumed, Lesson, Like, grouped

#: A burn shorter than this, or one whose depth is known no better than to this part of it, says
#: nothing about the rate (assumed).
LEAST_BURNT_MM = 1.0
LEAST_ARC_S = 10.0
DEPTH_PART = 0.2
#: A wear ratio that is known no better than this says too little (assumed: beside what it scatters
#: by from burn to burn).
MOST_RATIO_SD = 0.05
#: What is farther off than this was mismeasured. A little under nothing is what a small ratio may
#: be measured as: without that the others would be too great (assumed).
LEAST_RATIO, MOST_RATIO = -0.2, 1.2

#: So many of the newest tallies are looked at.
NEWEST = 5_000

_TALLIES = f"""
    SELECT t.hole_id, t.at_utc, t.kind, t.material, t.hard_metal, t.electrode_um, t.arc_ms,
           t.burnt_um, t.depth_sd_um, t.area_mm2, t.amps, t.amps_said, t.wear_ratio,
           t.wear_ratio_sd, k.label,
           (SELECT width_um FROM widths WHERE hole_id = t.hole_id ORDER BY id DESC LIMIT 1)
               AS width_um
      FROM tallies t
      JOIN outcomes o ON o.id = (SELECT max(id) FROM outcomes WHERE hole_id = t.hole_id)
      JOIN tickets k ON k.id = (SELECT max(id) FROM tickets WHERE hole_id = t.hole_id)
     WHERE t.id = (SELECT max(id) FROM tallies WHERE hole_id = t.hole_id)
       AND o.outcome = 'done' AND t.id > (SELECT max(id) FROM tallies) - {NEWEST} {{which}}
     ORDER BY t.hole_id
"""


@dataclass(frozen=True, slots=True)
class Aside:
    """Who set a figure of a hole aside, when and why."""

    at_utc: str
    operator: str
    why: str


class Taught(NamedTuple):
    """What one hole teaches: a figure, or its logarithm for the rate, and its standard deviation.

    ``aside``: that somebody set it aside; None where it counts.
    """

    hole_id: int
    label: str
    at_utc: str
    lesson: Lesson
    like: Like
    value: float
    sd: float
    aside: Aside | None = None


def taught(connection: sqlite3.Connection, hole_id: int | None = None) -> Iterator[Taught]:
    """Everything that the holes of the log teach, hole by hole; or what this one does.

    Raises LogError.
    """
    aside = _aside(connection)
    if hole_id is None:
        rows = each(connection, _TALLIES.format(which=""))
    else:
        rows = each(connection, _TALLIES.format(which="AND t.hole_id = ?"), hole_id)
    for row in rows:
        like = _like(row["electrode_um"], row["kind"], row["hard_metal"], row["material"])
        for lesson, value, sd in _readable(row):
            gone = aside.get((row["hole_id"], lesson))
            yield Taught(row["hole_id"], row["label"], row["at_utc"], lesson, like, value, sd, gone)


@lru_cache(maxsize=4096)
def _like(electrode_um: int, kind: str, hard_metal: int, material: str) -> Like:
    return Like(electrode_um / 1000, kind_named(kind, bool(hard_metal)), material.casefold())


def groups(connection: sqlite3.Connection, assumed: dict[Lesson, Assumed]) -> dict[Lesson, Groups]:
    """What the holes teach, added up by what they are like; what is set aside is left out."""
    by_lesson: dict[Lesson, list[tuple[Like, float, float]]] = {one: [] for one in Lesson}
    variances = {lesson: variance_of_a_burn(before) for lesson, before in assumed.items()}
    for one in taught(connection):
        if one.aside is None:
            weight = weight_beside(variances[one.lesson], one.sd)
            by_lesson[one.lesson].append((one.like, one.value, weight))
    return {lesson: grouped(burns) for lesson, burns in by_lesson.items()}


def stamp(connection: sqlite3.Connection) -> tuple[int, ...]:
    """What changes as soon as the log teaches anything new."""
    tables = ("tallies", "outcomes", "widths", "set_aside")
    newest = ", ".join(f"(SELECT coalesce(max(id), 0) FROM {table})" for table in tables)
    return tuple(ask(connection, f"SELECT {newest}")[0])


def _aside(connection: sqlite3.Connection) -> dict[tuple[int, str], Aside]:
    rows = ask(
        connection,
        "SELECT a.hole_id, a.lesson, a.at_utc, s.operator, a.why FROM set_aside a "
        "JOIN shifts s ON s.id = a.shift_id WHERE a.is_aside = 1 AND a.id IN "
        "(SELECT max(id) FROM set_aside GROUP BY hole_id, lesson)",
    )
    return {
        (row["hole_id"], row["lesson"]): Aside(row["at_utc"], row["operator"], row["why"])
        for row in rows
    }


def _readable(row: sqlite3.Row) -> list[tuple[Lesson, float, float]]:
    """The figures of a hole. Raises LogError where the log holds one that can't be."""
    try:
        found = list(_figures(row))
    except (ArithmeticError, TypeError, ValueError):
        found = [(Lesson.RATE, nan, nan)]
    if not all(isfinite(value) for _, value, _ in found):
        raise unreadable(f"what hole {row['hole_id']} came to can't be read in the log")
    return found


def _figures(row: sqlite3.Row) -> Iterator[tuple[Lesson, float, float]]:
    """The figures that a hole is good for, each with its standard deviation."""
    if row["amps_said"] and row["amps"]:
        yield Lesson.CURRENT, row["amps"] / (row["electrode_um"] / 1000), 0.0
    if row["width_um"] is not None:
        gap_mm = (row["width_um"] - row["electrode_um"]) / 2000
        if gap_mm >= LEAST_GAP_MM:
            yield Lesson.GAP, gap_mm, WIDTH_SIDE_SD_MM
    ratio, ratio_sd = row["wear_ratio"], row["wear_ratio_sd"]
    is_told = ratio is not None and ratio_sd <= MOST_RATIO_SD
    if is_told and LEAST_RATIO <= ratio <= MOST_RATIO:
        yield Lesson.WEAR, ratio, ratio_sd
    yield from _rate(row)


def _rate(row: sqlite3.Row) -> Iterator[tuple[Lesson, float, float]]:
    burnt_um, sd_um, arc_s = row["burnt_um"], row["depth_sd_um"], row["arc_ms"] / 1000
    if None in (burnt_um, sd_um, row["area_mm2"]) or not row["amps"]:
        return
    burnt_mm = burnt_um / 1000
    is_known = sd_um <= DEPTH_PART * burnt_um
    if burnt_mm >= LEAST_BURNT_MM and arc_s >= LEAST_ARC_S and is_known:
        burnt_mm3 = row["area_mm2"] * burnt_mm
        # How well the depth is known, as a part of it: about that of its logarithm.
        part_sd = sd_um / burnt_um
        rate = log_rate(burnt_mm3, row["amps"], arc_s, bool(row["hard_metal"]))
        yield Lesson.RATE, rate, part_sd
