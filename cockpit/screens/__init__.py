"""One screen a file, in the order an operator meets them.

gauge.py      which gauge: plug in, move the indicator, pick
shift.py      who works today, and what the last shift left
daily.py      the daily check
bench.py      the holes waiting, in hand and done
ticket.py     take in a hole
plan.py       how it will be burnt
override.py   a figure of one's own in place of the plan's
setup.py      the set-up, one thing at a time, and the guard before every arc
pilot.py      the first short burn
centre.py     is the spot centred?
burn.py       the burn to depth
touchoff.py   how much of the electrode is gone, and where the stop goes now
cleanout.py   what is left in the hole comes out
outcome.py    how the hole ended, and what was proved
shiftlog.py   what has been done
holepage.py   one hole of it
correct.py    say again what was wrong about it
stock.py      what is left in the rack
count.py      how many of a size there are, or came in
learnt.py     what the burns taught
taught.py     what each of them taught
preferences.py  what an operator can set: pedal, unit, sound, theme
word.py       over a screen: a note, a handover
help.py       over a screen: its keys

route.py      which screen shows which step of a hole
shared/       what they are made from
cockpit.tcss  how they are laid out
"""
