"""What happens while the arc is on: readings and marks in, one state and calls out.

Pure: time comes in with the reading. The same tracker serves the screen, the replay of a recorded
trace and the rehearsal.

    reading.py   what a gauge said and what the operator marked, as the log keeps them
    wear.py      how much of the electrode is gone, with its uncertainty
    progress.py  how the burn gets on: high-water travel, feed, time without progress
    calls.py     when the operator has something to do, and what
    tracker.py   the four above as one; the state that the screen shows
    trace.py     recorded readings as CSV
    simulate.py  invented burns
"""
