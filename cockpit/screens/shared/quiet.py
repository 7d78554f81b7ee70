"""Python's own tidying up, kept out of the operator's way.

Now and then Python looks through every object there is for those that nobody needs: on a screen of
200 x 60 that takes a tenth of a second, in which no key is answered. So that is done once when a
screen is up, while it is read; what is there then is not looked through again while it stays. What
is drawn after that is mostly drawn over within a second: Python looks through it when there is more
of it than usual, before it counts as old.
"""

from __future__ import annotations

import gc

#: So long after it came up a screen is drawn and is being read, s.
TIDY_UP_AFTER_S = 0.3
#: So many objects more than there were are looked through at once; a drawn screen is some thousand.
YOUNG = 20_000


def tidy_up() -> None:
    """Take away what nobody needs, that of the screens before too, and set aside what is left."""
    gc.unfreeze()
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, *gc.get_threshold()[1:])
