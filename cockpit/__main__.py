"""``python -m cockpit`` is the command ``burn-cockpit``."""

import sys

from cockpit.cli import main

if __name__ == "__main__":
    sys.exit(main())
