"""The tables, and how an older file becomes a newer one.

Lengths are integer micrometres, hole-clock times integer milliseconds, dates UTC in ISO 8601.
Nothing that happened is changed or deleted: a correction is a new row that points at the old one,
and triggers hold the program to that. Readings are the exception: once their burn is over they are
folded into something smaller.
"""

from __future__ import annotations

import sqlite3

#: Marks a SQLite file as this program's log ("burn" in ASCII); PRAGMA application_id.
APPLICATION_ID = 0x6275726E

#: Each entry brings a file from version n to n + 1 (PRAGMA user_version). Every statement ends with
#: a semicolon and holds none.
MIGRATIONS: tuple[str, ...] = (
    """
    CREATE TABLE shifts (
        id INTEGER PRIMARY KEY,
        began_utc TEXT NOT NULL,
        operator TEXT NOT NULL CHECK (operator <> ''),
        machine TEXT NOT NULL,
        gauge TEXT NOT NULL
    ) STRICT;
    CREATE TABLE shift_ends (
        shift_id INTEGER PRIMARY KEY REFERENCES shifts,
        at_utc TEXT NOT NULL,
        handover TEXT NOT NULL
    ) STRICT;
    CREATE TABLE jobs (
        id INTEGER PRIMARY KEY,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        customer TEXT NOT NULL,
        reference TEXT NOT NULL,
        part TEXT NOT NULL
    ) STRICT;
    CREATE TABLE holes (
        id INTEGER PRIMARY KEY,
        job_id INTEGER NOT NULL REFERENCES jobs,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        number INTEGER NOT NULL,
        UNIQUE (job_id, number)
    ) STRICT;
    CREATE TABLE tickets (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        corrects INTEGER REFERENCES tickets,
        label TEXT NOT NULL,
        thread TEXT NOT NULL,
        broken TEXT NOT NULL,
        through INTEGER NOT NULL CHECK (through IN (0, 1)),
        depth_um INTEGER NOT NULL,
        recess_um INTEGER NOT NULL,
        body TEXT NOT NULL
    ) STRICT;
    CREATE TABLE plans (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        ticket_id INTEGER NOT NULL REFERENCES tickets,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        electrode TEXT NOT NULL,
        target_um INTEGER NOT NULL,
        limit_um INTEGER,
        aim TEXT NOT NULL,
        body TEXT NOT NULL
    ) STRICT;
    CREATE TABLE steps (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        step TEXT NOT NULL
    ) STRICT;
    CREATE TABLE checks (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        item TEXT NOT NULL,
        title TEXT NOT NULL,
        result TEXT NOT NULL CHECK (result IN ('confirmed', 'seen', 'skipped')),
        word TEXT NOT NULL
    ) STRICT;
    CREATE TABLE sittings (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        t_ms INTEGER NOT NULL
    ) STRICT;
    CREATE TABLE burns (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        t_ms INTEGER NOT NULL,
        kind TEXT NOT NULL CHECK (kind IN ('pilot', 'burn'))
    ) STRICT;
    CREATE TABLE burn_ends (
        burn_id INTEGER PRIMARY KEY REFERENCES burns,
        at_utc TEXT NOT NULL,
        t_ms INTEGER NOT NULL,
        how TEXT NOT NULL CHECK (how IN ('operator', 'cut short'))
    ) STRICT;
    CREATE TABLE readings (
        hole_id INTEGER NOT NULL REFERENCES holes,
        seq INTEGER NOT NULL,
        t_ms INTEGER NOT NULL,
        travel_um INTEGER NOT NULL,
        PRIMARY KEY (hole_id, seq)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE marks (
        hole_id INTEGER NOT NULL REFERENCES holes,
        seq INTEGER NOT NULL,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        t_ms INTEGER NOT NULL,
        mark TEXT NOT NULL CHECK (mark IN ('start', 'stop', 'touch', 'wear', 'depth')),
        value_um INTEGER,
        PRIMARY KEY (hole_id, seq)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE calls (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        t_ms INTEGER NOT NULL,
        call TEXT NOT NULL,
        depth_um INTEGER,
        text TEXT NOT NULL
    ) STRICT;
    CREATE TABLE centres (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        across_um INTEGER NOT NULL,
        along_um INTEGER NOT NULL,
        verdict TEXT NOT NULL,
        body TEXT NOT NULL
    ) STRICT;
    CREATE TABLE notes (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        text TEXT NOT NULL CHECK (text <> '')
    ) STRICT;
    CREATE TABLE outcomes (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        corrects INTEGER REFERENCES outcomes,
        outcome TEXT NOT NULL CHECK (outcome IN ('done', 'left for later', 'given up', 'damaged')),
        chased TEXT NOT NULL,
        gauged TEXT NOT NULL,
        bottom TEXT NOT NULL,
        marked TEXT NOT NULL,
        why TEXT NOT NULL
    ) STRICT;
    CREATE INDEX holes_by_job ON holes (job_id);
    CREATE INDEX tickets_by_hole ON tickets (hole_id);
    CREATE INDEX plans_by_hole ON plans (hole_id);
    CREATE INDEX steps_by_hole ON steps (hole_id);
    CREATE INDEX checks_by_hole ON checks (hole_id);
    CREATE INDEX sittings_by_hole ON sittings (hole_id);
    CREATE INDEX burns_by_hole ON burns (hole_id);
    CREATE INDEX calls_by_hole ON calls (hole_id);
    CREATE INDEX centres_by_hole ON centres (hole_id);
    CREATE INDEX notes_by_hole ON notes (hole_id);
    CREATE INDEX outcomes_by_hole ON outcomes (hole_id);
    """,
    """
    CREATE TABLE overrides (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        corrects INTEGER REFERENCES overrides,
        figure TEXT NOT NULL CHECK (figure <> ''),
        value TEXT,
        why TEXT NOT NULL CHECK (why <> '')
    ) STRICT;
    CREATE INDEX overrides_by_hole ON overrides (hole_id);
    """,
    """
    ALTER TABLE checks ADD COLUMN plan_id INTEGER REFERENCES plans;
    """,
    """
    CREATE TABLE reopened (
        id INTEGER PRIMARY KEY,
        check_id INTEGER NOT NULL REFERENCES checks,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL
    ) STRICT;
    CREATE INDEX reopened_by_check ON reopened (check_id);
    """,
    # Beside the marks, whose check names its kinds and can't be altered without rewriting them.
    """
    CREATE TABLE changes (
        hole_id INTEGER NOT NULL REFERENCES holes,
        seq INTEGER NOT NULL,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        t_ms INTEGER NOT NULL,
        mark TEXT NOT NULL CHECK (mark IN ('electrode', 'spot')),
        value_um INTEGER,
        PRIMARY KEY (hole_id, seq)
    ) STRICT, WITHOUT ROWID;
    """,
    # Readings of burns that are over, folded. And what came before what, which dates can't tell
    # once somebody has put the computer's clock right.
    """
    CREATE TABLE traces (
        hole_id INTEGER NOT NULL REFERENCES holes,
        first_seq INTEGER NOT NULL,
        last_seq INTEGER NOT NULL,
        readings INTEGER NOT NULL,
        body BLOB NOT NULL,
        PRIMARY KEY (hole_id, first_seq)
    ) STRICT;
    ALTER TABLE burns ADD COLUMN switched_by TEXT CHECK (switched_by IN ('key', 'readings'));
    ALTER TABLE burn_ends ADD COLUMN switched_by TEXT CHECK (switched_by IN ('key', 'readings'));
    ALTER TABLE sittings ADD COLUMN gauge TEXT;
    ALTER TABLE centres ADD COLUMN burn_id INTEGER REFERENCES burns;
    ALTER TABLE steps ADD COLUMN check_id INTEGER REFERENCES checks;
    ALTER TABLE changes ADD COLUMN check_id INTEGER REFERENCES checks;
    DROP TRIGGER IF EXISTS centres_no_update;
    UPDATE centres SET burn_id = (
        SELECT max(b.id) FROM burns b
         WHERE b.hole_id = centres.hole_id AND b.at_utc <= centres.at_utc
    );
    DROP TRIGGER IF EXISTS steps_no_update;
    UPDATE steps SET check_id = (
        SELECT max(c.id) FROM checks c
         WHERE c.hole_id = steps.hole_id AND c.at_utc < steps.at_utc
    );
    INSERT INTO reopened (check_id, shift_id, at_utc)
        SELECT c.id, c.shift_id, c.at_utc FROM checks c
         WHERE c.item LIKE 'clean-out %' AND c.id NOT IN (SELECT check_id FROM reopened)
           AND c.at_utc < (SELECT max(b.at_utc) FROM burns b WHERE b.hole_id = c.hole_id);
    """,
    # What was said wrongly is said again, with why; what a hole came to is written once, when it
    # is closed, so that nobody has to play its trace again for a list, a price or the next plan.
    """
    ALTER TABLE tickets ADD COLUMN correction TEXT;
    ALTER TABLE outcomes ADD COLUMN correction TEXT;
    ALTER TABLE notes ADD COLUMN corrects INTEGER REFERENCES notes;
    ALTER TABLE notes ADD COLUMN correction TEXT;
    CREATE TABLE job_corrections (
        id INTEGER PRIMARY KEY,
        job_id INTEGER NOT NULL REFERENCES jobs,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        corrects INTEGER REFERENCES job_corrections,
        customer TEXT NOT NULL,
        reference TEXT NOT NULL,
        part TEXT NOT NULL,
        correction TEXT NOT NULL CHECK (correction <> '')
    ) STRICT;
    CREATE TABLE widths (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        corrects INTEGER REFERENCES widths,
        width_um INTEGER NOT NULL CHECK (width_um > 0)
    ) STRICT;
    CREATE TABLE tallies (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        outcome_id INTEGER NOT NULL REFERENCES outcomes,
        plan_id INTEGER REFERENCES plans,
        at_utc TEXT NOT NULL,
        kind TEXT NOT NULL,
        material TEXT NOT NULL,
        hard_metal INTEGER NOT NULL CHECK (hard_metal IN (0, 1)),
        electrode TEXT NOT NULL,
        electrode_um INTEGER NOT NULL,
        electrodes INTEGER NOT NULL,
        arc_ms INTEGER NOT NULL,
        depth_um INTEGER,
        depth_sd_um INTEGER,
        burnt_um INTEGER,
        worn_um INTEGER,
        area_mm2 REAL,
        amps REAL,
        amps_said INTEGER NOT NULL CHECK (amps_said IN (0, 1)),
        wear_ratio REAL,
        wear_ratio_sd REAL,
        price TEXT,
        currency TEXT
    ) STRICT;
    CREATE TABLE set_aside (
        id INTEGER PRIMARY KEY,
        hole_id INTEGER NOT NULL REFERENCES holes,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        corrects INTEGER REFERENCES set_aside,
        lesson TEXT NOT NULL CHECK (lesson IN ('rate', 'wear', 'gap', 'current')),
        is_aside INTEGER NOT NULL CHECK (is_aside IN (0, 1)),
        why TEXT NOT NULL CHECK (why <> '')
    ) STRICT;
    CREATE TABLE stock (
        id INTEGER PRIMARY KEY,
        shift_id INTEGER NOT NULL REFERENCES shifts,
        at_utc TEXT NOT NULL,
        hole_id INTEGER REFERENCES holes,
        electrode TEXT NOT NULL CHECK (electrode <> ''),
        entry TEXT NOT NULL CHECK (entry IN ('profile', 'counted', 'came in', 'used up', 'worn')),
        number INTEGER NOT NULL CHECK (number >= 0),
        note TEXT NOT NULL
    ) STRICT;
    CREATE INDEX job_corrections_by_job ON job_corrections (job_id);
    CREATE INDEX widths_by_hole ON widths (hole_id);
    CREATE INDEX tallies_by_hole ON tallies (hole_id);
    CREATE INDEX set_aside_by_hole ON set_aside (hole_id);
    CREATE INDEX stock_by_electrode ON stock (electrode);
    """,
)

VERSION = len(MIGRATIONS)

#: Tables that may be folded or rewritten; every other one is append-only.
FOLDABLE = frozenset({"readings"})


def version_of(connection: sqlite3.Connection) -> int:
    """The schema version a file says it has."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection) -> None:
    """Bring a file up to the newest version in one transaction: all of it or none."""
    if version_of(connection) == VERSION:
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        # Asked again, because another cockpit may have brought the file up in the meantime.
        for migration in MIGRATIONS[version_of(connection) :]:
            for statement in migration.split(";"):
                connection.execute(statement)
        guard(connection)
        connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute("COMMIT")
    except sqlite3.Error:
        connection.rollback()
        raise


def tables(connection: sqlite3.Connection) -> list[str]:
    """The names of the log's tables."""
    rows = connection.execute(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    )
    return [str(row[0]) for row in rows]


def guard(connection: sqlite3.Connection) -> None:
    """Make every table but the foldable ones append-only."""
    for table in sorted(set(tables(connection)) - FOLDABLE):
        for verb in ("UPDATE", "DELETE"):
            connection.execute(
                f"CREATE TRIGGER IF NOT EXISTS {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
            )
