"""One screen a file, in the order an operator meets them.

gauge.py      which gauge: plug in, move the indicator, pick
shift.py      who works today, the handover note
daily.py      the daily check
bench.py      the holes waiting, in hand and done
ticket.py     take in a hole
plan.py       how it will be burnt
setup.py      the set-up, one thing at a time, and the guard before every arc
burn.py       the arc: the pilot burn, and the burn to depth
centre.py     is the spot centred?
touchoff.py   how much of the electrode is gone, and where the stop goes now
cleanout.py   what is left in the hole comes out
outcome.py    how the hole ended, and what was proved
shiftlog.py   what has been done
holepage.py   one hole of it
word.py       a note, a handover
help.py       the keys of a screen
preferences.py  what an operator can set: pedal, unit, sound, theme

checks.py     one thing at a time, large: the daily check, the set-up and the clean-out
livechecks.py those that the cockpit sees for itself
box.py        what lies at the foot of a screen for a while: words, keys
step.py       what they have in common: the big key, the bottom line, the way back
palette.py    everything that can be done, by name
heard.py      bells and spoken words
bells.py      a rhythm on the terminal's bell
pedal.py      which keys can be a foot pedal's
keys.py       what a key is called, and what it types
keygate.py    a key held or bouncing counts once
leaving.py    how the cockpit ends: asked to, told to, or broken
route.py      which screen shows which step of a hole
"""
