"""What the screens are made from, and share.

step.py       what every screen has: the big key, the bottom line, the way back
closes.py     a screen goes away once only
paged.py      what may hold more than the terminal shows
questions.py  one question after the other in one field
checks.py     one thing at a time, large: the daily check, the set-up and the clean-out
livechecks.py those that the cockpit sees for itself
arc.py        the arc: what the pilot burn and the burn to depth have in common
arc_words.py  what they say beside their large figures
box.py        what lies at the foot of a screen for a while: words, keys

keygate.py    a key held or bouncing counts once
keys.py       what a key is called, and what it types
pedal.py      which keys can be a foot pedal's
palette.py    everything that can be done, by name
heard.py      bells and spoken words
bells.py      a rhythm on the terminal's bell
themes.py     the colours
room.py       how much room a terminal has
quiet.py      Python's tidying up, kept out of the operator's way
views.py      from a hole to what the drawings show
words.py      figures in words
leaving.py    how the cockpit ends: asked to, told to, or broken
"""
