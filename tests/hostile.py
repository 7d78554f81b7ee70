"""Text that is up to something, and a log that another program has written it into."""

from __future__ import annotations

import json
import sqlite3
import unicodedata
from contextlib import closing
from pathlib import Path

ATTACKS = {
    "markup": "[bold red]x[/] [@click=app.quit]y[/] [link='file:z']w[/]",
    "escape": "\x1b[2J\x1b]0;pwned\x07\x1b[31mred\x1bPq\x1b\\",
    "c1": "\x9b31mred\x9d0;pwned\x9c",
    "layout": "one\ntwo\rthree\tfour\x0b\x0c\x85\u2028\u2029five",
    "unseen": "\u202eright\u2066to\u200bleft\u200d\ufeff\xad\U000e0041",
    "flood": "e" + "\u0301" * 500,
    "long": "endless " * 1_250,
    "wide": "工具👨\u200d👩\u200d👧 " * 60,
    "formula": "=1+1;@SUM(1)",
    "broken": "a\ud800b\udc9bc",
    "nul": "a\0b\x08\x08c",
}
#: All that is short enough to be seen on one line of a screen.
ALL_AT_ONCE = "".join(ATTACKS[name][:9] for name in ATTACKS)

#: The columns of the log that hold words; a body holds them too, as JSON.
_WORDS = {
    "shifts": ("operator", "machine", "gauge"),
    "shift_ends": ("handover",),
    "jobs": ("customer", "reference", "part"),
    "tickets": ("label", "thread", "broken"),
    "overrides": ("why",),
    "checks": ("title", "word"),
    "calls": ("call", "text"),
    "notes": ("text",),
    "outcomes": ("chased", "gauged", "bottom", "marked", "why"),
}


def unseemly(text: str) -> list[str]:
    """The characters of a text that no screen, terminal or table should have."""
    return [
        f"U+{ord(one):04X}"
        for one in text
        if unicodedata.category(one) in ("Cc", "Cs", "Zl", "Zp")
        or (unicodedata.category(one) == "Cf" and one not in "\u200c\u200d")
    ]


def as_read(text: str) -> str:
    """What comes back of a text from a log: half characters are no text."""
    return text.encode("utf-8", "surrogatepass").decode("utf-8", "replace")


def rewrite(path: Path, text: str) -> None:
    """Put the text into every word of a log, as no cockpit would, behind the triggers' back."""
    written = text.encode("utf-8", "surrogatepass")
    with closing(sqlite3.connect(path, isolation_level=None)) as log:
        for (name,) in log.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'"):
            log.execute(f"DROP TRIGGER {name}")
        for table, columns in _WORDS.items():
            told = ", ".join(f"{column} = CAST(?1 AS TEXT)" for column in columns)
            log.execute(f"UPDATE {table} SET {told}", (written,))
        seemly = as_read(text)  # no JSON has half a character in it
        for table in ("tickets", "plans"):
            for row_id, body in log.execute(f"SELECT id, body FROM {table}").fetchall():
                changed = json.dumps(_with_words(json.loads(body), seemly))
                log.execute(f"UPDATE {table} SET body = ? WHERE id = ?", (changed, row_id))


def _with_words(body: dict[str, object], text: str) -> dict[str, object]:
    """A ticket or a plan with the text wherever a person's or a profile's words stand."""
    if "hole" in body:
        return body | {"hole": text}
    electrode = body["electrode"]
    assert isinstance(electrode, dict)
    many = ("warnings", "cautions", "acknowledge")
    return (
        body
        | {name: [text, text] for name in many}
        | {"currency": text, "electrode": electrode | {"label": text, "why": text}}
    )
