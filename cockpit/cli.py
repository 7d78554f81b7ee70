"""The command ``burn-cockpit``: answers on stdout, one sentence on stderr when it can't.

Exit codes: 0 done, 1 the thing asked for could not be done, 2 wrong usage. The rooms a command
needs are opened when it runs, so that no command pays for a screen it does not show.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from datetime import date
from functools import partial
from io import TextIOWrapper
from pathlib import Path
from pkgutil import resolve_name
from typing import Any, NoReturn

from cockpit import __version__
from cockpit.commands import CommandError, UsageError
from cockpit.commands.answer import say_wrong
from cockpit.text import printable

DONE, FAILED, WRONG_USAGE, INTERRUPTED = 0, 1, 2, 130

#: What is said of an option that several commands have.
DATA = "the folder of the log"
PORT = "the gauge's port, instead of the profile's"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            # A terminal that knows no ± is no reason to say nothing.
            stream.reconfigure(errors="replace")
    asked = make_parser().parse_args(arguments)
    # Textual reads this once, when it is first needed. What has changed waits for up to two frames
    # before it is drawn: 33 ms of a key's answer at the usual 60 a second.
    os.environ.setdefault("TEXTUAL_FPS", "240")
    try:
        # Each command opens its own rooms, so that none pays for what another one needs.
        resolve_name(asked.run)(asked)
    except CommandError as failure:
        say_wrong(failure)
        return WRONG_USAGE if isinstance(failure, UsageError) else FAILED
    except BrokenPipeError:
        # Whoever read the answer has had enough of it; nothing is left to tell them.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except KeyboardInterrupt:
        return INTERRUPTED
    return DONE


class _Parser(argparse.ArgumentParser):
    """Refuses in one sentence, and takes no option that is not spelt out."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**{"allow_abbrev": False, **settings})

    def error(self, message: str) -> NoReturn:
        """Say in one line what is wrong, and leave."""
        said = printable(" ".join(message.split()))
        self.exit(WRONG_USAGE, f"{self.prog}: {said}; see {self.prog} --help.\n")


def make_parser() -> argparse.ArgumentParser:
    """All commands with their options."""
    parser = _Parser(
        prog="burn-cockpit",
        description="Plans, guides, tracks and records the burning-out of broken tools. "
        "Without a command it opens the cockpit. It never controls the machine.",
    )
    parser.add_argument("--version", action="version", version=f"burn-cockpit {__version__}")
    parser.add_argument("--demo", action="store_true", help="an invented shop, a simulated gauge")
    parser.add_argument("--data", type=Path, metavar="DIR", help=DATA)
    parser.add_argument("--machine", metavar="NAME", help="machine profile")
    parser.add_argument("--gauge", metavar="NAME", help="gauge profile")
    parser.add_argument("--port", metavar="URL", help=PORT)
    parser.add_argument(
        "--speed", type=_more_than_zero, metavar="X", help="with --demo: times real time"
    )
    parser.set_defaults(run="cockpit.app:open_cockpit")
    add = parser.add_subparsers(title="commands", metavar="COMMAND").add_parser
    _plan(add("plan", help="the plan for one hole"))
    _replay(add("replay", help="recorded readings through the tracker"))
    _gauge(add("gauge", help="ports, and who understands them; watch a gauge"))
    _log(add("log", help="the shift log, a hole a row"))
    _price(add("price", help="what a job costs, planned and actual"))
    _record(add("record", help="the record of a hole for the customer, in a file"))
    _stock(add("stock", help="the electrodes that are left; enter a count, or what came in"))
    _learnt(add("learnt", help="what the shop's own burns taught, and which of them are unlike"))
    _rehearse(add("rehearse", help="one whole invented hole, without a screen"))
    _verify(add("verify", help="profiles, log and gauge: what is wrong"))
    _backup(add("backup", help="a checked copy of the log, also while it is in use"))
    _restore(add("restore", help="put a copy in the place of a log that is damaged"))
    _export(add("export", help="the whole log as lines of JSON, also while it is in use"))
    _import(add("import", help="make a log of an exported one, where there is none yet"))
    return parser


def _plan(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("thread", nargs="?", help='such as "M10x1.5", "1/4-20", "G1/4", "pin 8 mm"')
    add("--broken", help='tap, drill, screw, pin or insert; "carbide spiral-point tap"')
    add("--flutes", type=_whole, help="how many flutes the tool has, if known")
    add("--depth", help='depth of the hole, such as "22 mm"')
    add("--recess", help="depth of the break below the surface, 0 unless told")
    add("--through", action="store_true", help="the hole goes through")
    add("--sister", metavar="DEPTH", help="depth of a like hole beside it")
    add("--tool-end", metavar="DEPTH", help="where the broken tool ends, if known")
    add(
        "--material",
        metavar="NAME",
        help='what the part is made of, such as "cast iron"; several with +',
    )
    add("--web", help="web of a like tool, measured")
    add("--special", action="store_true", help="a thread of no standard series")
    add("--from", dest="holes", type=Path, metavar="FILE.csv", help="several holes, one a row")
    add(
        "--override",
        action="append",
        default=[],
        metavar="FIGURE=VALUE",
        help='put a value in place of the plan\'s, such as electrode.label="3/16 in"',
    )
    add("--why", help="why it is overridden")
    add("--by", default=_person(), metavar="WHO", help="who overrides it")
    add("--sources", action="store_true", help="where each figure comes from")
    add("--machine", metavar="NAME", default=argparse.SUPPRESS, help="machine profile")
    _which_log(parser)
    add("--json", action="store_true", help="one JSON object a hole")
    parser.set_defaults(run="cockpit.commands.plan:run")


def _person() -> str:
    """Who is at this computer, as far as it says."""
    return os.environ.get("USER") or os.environ.get("USERNAME") or "somebody"


def _replay(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("files", nargs="+", type=Path, metavar="FILE.csv", help="columns t_s, travel_mm and marks")
    add("--target", metavar="DEPTH", help='depth to burn to, such as "18 mm"')
    add("--limit", metavar="DEPTH", help="depth that must not be passed")
    add("--recess", metavar="DEPTH", help="depth of the break; else where the readings begin")
    add("--wear", type=_ratio, default=0.25, help="wear ratio believed at first")
    add("--wear-sd", type=_more_than_zero, default=0.10, help="standard deviation of that belief")
    suppress = argparse.SUPPRESS
    add("--gauge", metavar="NAME", default=suppress, help="gauge profile: its noise; typed or not")
    add("--machine", metavar="NAME", default=suppress, help="machine profile: its head's speed")
    add("--lenient", action="store_true", help="skip bad rows and count them")
    add("--json", action="store_true", help="one JSON object a file")
    parser.set_defaults(run="cockpit.commands.replay:run")


def _gauge(parser: argparse.ArgumentParser) -> None:
    add, suppress = parser.add_argument, argparse.SUPPRESS
    add("--port", metavar="URL", default=suppress, help="listen to this port only")
    add(
        "--ask",
        action="store_true",
        help="send the requests of the polled gauge profiles to ports that say nothing by "
        "themselves; only where you know that no machine is on such a port",
    )
    add("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run="cockpit.commands.gauge:run")
    watch = parser.add_subparsers(title="commands", metavar="COMMAND").add_parser(
        "watch", help="what a gauge sends, raw and understood", allow_abbrev=False
    )
    watch.add_argument("name", metavar="NAME", help="gauge profile")
    watch.add_argument("--port", metavar="URL", default=suppress, help=PORT)
    watch.add_argument("--seconds", type=_more_than_zero, help="stop after so long")
    watch.set_defaults(run="cockpit.commands.gauge_watch:run")


def _log(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--from", dest="first", type=_day, metavar="DATE", help="the first day, YYYY-MM-DD")
    add("--to", dest="last", type=_day, metavar="DATE", help="the last day, YYYY-MM-DD")
    add("--job", default="", metavar="TEXT", help="customer, reference, part, ...")
    _which_log(parser)
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="one JSON object a hole")
    form.add_argument("--csv", action="store_true", help="a table for a spreadsheet")
    parser.set_defaults(run="cockpit.commands.log:run")


def _price(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="the customer's reference of the job")
    _which_log(parser)
    suppress = argparse.SUPPRESS
    parser.add_argument("--machine", metavar="NAME", default=suppress, help="machine profile")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run="cockpit.commands.price:run")


def _record(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("hole", type=_whole, metavar="HOLE", help="its number in the log")
    add(
        "--to",
        type=Path,
        required=True,
        metavar="FILE",
        help="the file to write; ends in .html, .pdf, .md, .json or .txt",
    )
    add("--job", action="store_true", help="the whole job that the hole belongs to")
    add("--prices", action="store_true", help="with the prices, which are left out unless asked")
    unit = parser.add_mutually_exclusive_group()
    unit.add_argument("--mm", action="store_true", help="lengths in millimetres, as unless told")
    unit.add_argument("--inch", action="store_true", help="lengths in inches")
    _which_log(parser)
    parser.set_defaults(run="cockpit.commands.record:run")


def _stock(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    for option, entry, says in (
        ("--count", "counted", "so many are there, counted just now, the one in use with them"),
        ("--came-in", "came in", "so many came in"),
    ):
        add(
            option,
            dest="entries",
            action="append",
            # In the order in which they are said: a count does away with what was before it.
            type=partial(_entry, entry),
            default=[],
            metavar="SIZE=NUMBER",
            help=f'{says}, such as "5/32 in=7"; needs an open shift',
        )
    _which_log(parser)
    add("--machine", metavar="NAME", default=argparse.SUPPRESS, help="machine profile")
    add("--json", action="store_true", help="one JSON object a size")
    parser.set_defaults(run="cockpit.commands.stock:run")


def _entry(kind: str, text: str) -> tuple[str, str]:
    return kind, text


def _learnt(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--holes", action="store_true", help="what each hole taught, and which are unlike")
    add("--inch", action="store_true", help="in inches, not in mm; JSON stays in mm")
    for option, says in (
        ("--aside", "learn nothing from this figure of a hole; needs an open shift"),
        ("--again", "learn from it again after all"),
    ):
        add(option, nargs=2, metavar=("HOLE", "FIGURE"), help=says)
    add("--why", help="why it is set aside, or taken in again")
    _which_log(parser)
    add("--machine", metavar="NAME", default=argparse.SUPPRESS, help="machine profile")
    add("--json", action="store_true", help="one JSON object a figure, and a hole")
    parser.set_defaults(run="cockpit.commands.learnt:run")


def _rehearse(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--seed", type=_whole, default=0, help="which invented hole, 0 unless told")
    parser.add_argument(
        "--speed",
        type=_more_than_zero,
        metavar="X",
        default=argparse.SUPPRESS,
        help="times real time",
    )
    parser.add_argument(
        "--data",
        type=Path,
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="keep it in the log of this folder; else nothing is kept",
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run="cockpit.commands.rehearse:run")


def _verify(parser: argparse.ArgumentParser) -> None:
    _which_log(parser)
    add, suppress = parser.add_argument, argparse.SUPPRESS
    add("--mend", action="store_true", help="put right what needs no copy of the log")
    add("--gauge", metavar="NAME", default=suppress, help="gauge profile to listen to; else none")
    add("--port", metavar="URL", default=suppress, help=PORT)
    parser.set_defaults(run="cockpit.commands.verify:run")


def _backup(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="the copy to make")
    _which_log(parser)
    parser.set_defaults(run="cockpit.commands.backup:run")


def _restore(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file", nargs="?", type=Path, metavar="FILE", help="the copy; else the newest sound one"
    )
    _which_log(parser)
    parser.set_defaults(run="cockpit.commands.backup:restore")


def _export(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE.json", help="the file to make")
    _which_log(parser)
    parser.set_defaults(run="cockpit.commands.export:run")


def _import(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE.json", help="what a log was exported to")
    _which_log(parser)
    parser.set_defaults(run="cockpit.commands.export:bring_in")


def _which_log(parser: argparse.ArgumentParser) -> None:
    """The options of a command that reads a log; said before the command, they hold as well."""
    add, suppress = parser.add_argument, argparse.SUPPRESS
    add("--data", type=Path, metavar="DIR", default=suppress, help=DATA)
    add("--demo", action="store_true", default=suppress, help="the demo's log, not the shop's")


def _more_than_zero(text: str) -> float:
    value = _number(text)
    if not 0 < value < float("inf"):
        raise argparse.ArgumentTypeError(f"{text!r} is not a number over 0")
    return value


def _ratio(text: str) -> float:
    value = _number(text)
    if not 0 <= value < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to just under 1")
    return value


def _whole(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number") from None


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return float("nan")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a day; write YYYY-MM-DD") from None
