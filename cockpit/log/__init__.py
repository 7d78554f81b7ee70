"""Where everything is kept: one SQLite file a shop.

schema.py     the tables, and how an older file becomes a newer one
opening.py    opens the file, to write under a lock or only to read
lock.py       one cockpit at a time writes to a log
store.py      writes to it
folding.py    readings into a compact trace, and back
rows.py       what the log gives back
asking.py     how it is asked
questions.py  what can be asked of it
marked.py     what was measured in a hole, and changed
listing.py    its holes as they are listed, a few at a time
desk.py       what the desk asks: how shifts and holes were left
open_burns.py how long the arc was on in a burn that nobody ended
soundness.py  whether it is whole, and what to do if not
backups.py    good copies, and how one takes the place of a broken log
carrying.py   the form in which a whole log is carried elsewhere
exporting.py  a log into a file of that form
importing.py  a log from such a file
"""


class LogError(Exception):
    """The log can't be opened, read or written: one sentence, what, where, what to do."""
