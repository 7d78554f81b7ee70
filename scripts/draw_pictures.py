"""Takes the pictures of the screens anew that tests/screens/test_pictures.py holds them to.

    python3 scripts/draw_pictures.py              # all of them
    python3 scripts/draw_pictures.py burn calls   # of these scenes

Look at what has changed (`git diff tests/screens/pictures`) before it is kept.
"""

import argparse
import asyncio
import shutil
import sys
import tempfile
from pathlib import Path

from oldest_python import require_python

ROOT = Path(__file__).resolve().parent.parent


async def draw(names: list[str]) -> int:
    """Take the pictures of these scenes; say which have changed."""
    from tests.screens.moments import SCENES
    from tests.screens.pictures import FOLDER, keep, kept, pictures

    if unknown := [name for name in names if name not in SCENES]:
        print(f"{unknown[0]}: no such scene; there are {', '.join(SCENES)}.")
        return 2
    for name in names or SCENES:
        with tempfile.TemporaryDirectory(prefix="pictures-") as folder:
            taken = await pictures(SCENES[name], Path(folder))
        before = kept(name)
        changed = sum(before.get(file) != picture for file, picture in taken.items())
        keep(name, taken)
        print(f"  {name:<16}{len(taken):>4} pictures{changed:>5} changed", flush=True)
    for gone in {path.name for path in FOLDER.iterdir()} - SCENES.keys():
        shutil.rmtree(FOLDER / gone)
    return 0


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("scenes", nargs="*", help="the scenes (all)")
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def main() -> int:
    """Take them, in the project's own environment."""
    require_python()
    from environment import start_again  # late: it needs today's Python

    asked = arguments()
    if not asked.here:
        return start_again(__file__, sys.argv[1:], "dev")
    sys.path.insert(0, str(ROOT))
    return asyncio.run(draw(asked.scenes))


if __name__ == "__main__":
    sys.exit(main())
