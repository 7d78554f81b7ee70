"""Python's own tidying up, kept out of the operator's way.

Now and then Python looks through every object there is for those that nobody needs: on a screen of
200 x 60 that takes a tenth of a second, in which no key is answered. So that is done once when a
screen is up, while it is read; what is there then is not looked through again while it stays.
"""

from __future__ import annotations

import gc


def tidy_up() -> None:
    """Take away what nobody needs, that of the screens before too, and set aside what is left."""
    gc.unfreeze()
    gc.collect()
    gc.freeze()
