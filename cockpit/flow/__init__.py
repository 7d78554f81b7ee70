"""The way of a hole through the shop, without a screen: what screens and rehearsal both run.

clock.py      the time, and a time of its own for demo and rehearsal
steps.py      where a hole can stand
ticket_questions.py  the questions of a ticket
intake.py     a ticket while it is filled in
bench.py      how a hole lies on the bench, and what shifts are told of each other
stillness.py  whether the indicator stands still
live.py       gauge to tracker to log, while a hole is in hand
hole.py       the hole in hand: what was decided, where it stands, what comes next
kept.py       small files beside the log that hold what a person chose
gauge_choice.py  which gauge was picked, for the next start
preferences.py   what an operator has set: unit, sound, theme, pedal
as_left.py    a set-up that is asked for again, and is as it was left
depth_stop.py    the depth stop as the head meets it
outbox.py     what waits for the log
after_arc.py  what comes next once the arc is off
seen.py       what the gauge shows of a check
proofs.py     what is asked of a finished hole, and which answer goes without saying
gauge_list.py    the gauges there are to choose from
gauge_words.py   what is said of them
past.py       a hole that was burnt, seen again
past_trace.py what happened in it, on the arc's own clock
plot.py       that laid out on a grid: scales, axes, columns, lanes
hole_parts.py what is told of a hole of the log, part by part
tally.py      what a hole came to, made out when it is closed
shop_now.py   the shop by what its log says: what it has learnt, what is in the rack
corrections.py   what was said wrongly, and is said again
pricing.py    what a job costs, planned and actual
handing_over.py  the record in a file for the customer
stocktake.py  what is left in the rack, and what people say of it
learnt.py     what the burns taught, and which are unlike or set aside
search.py     the holes of the log, listed, and searched as somebody types
floor.py      the shop floor: log, profiles, gauge, shift; holes come from here
demo.py       an invented shop
rehearsal.py  one invented hole from take-in to record, with nobody at the keys
"""
