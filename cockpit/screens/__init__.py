"""One screen a file, in the order an operator meets them.

gauge.py      which gauge: plug in, move the indicator, pick
shift.py      who works today, the handover note, the daily check
bench.py      the holes waiting, in hand and done
ticket.py     take in a hole
plan.py       how it will be burnt
checks.py     the set-up, one thing at a time; the daily check and the clean-out look the same
burn.py       the arc: the pilot burn, and the burn to depth
centre.py     is the spot centred?
touchoff.py   how much of the electrode is gone?
outcome.py    how the hole ended, and what was proved
shiftlog.py   what has been done
holepage.py   one hole of it
word.py       a note, a handover
help.py       the keys of a screen

box.py        what lies at the foot of a screen for a while: words, keys
step.py       what they have in common: the big key, the bottom line, the way back
keygate.py    a key held or bouncing counts once
route.py      which screen shows which step of a hole
"""
