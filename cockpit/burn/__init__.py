"""What happens while the arc is on: readings and marks in, one state and calls out.

Pure: time comes in with the reading. The same tracker serves the screen, the replay of a recorded
trace and the rehearsal.

    reading.py   what a gauge said and what the operator marked, as the log keeps them
    progress.py  how the burn gets on: high-water travel, feed, falls
    arcwatch.py  whether the arc seems on or off, told from the readings alone
    calls.py     when the operator has something to do, and what
    tracker.py   the three above as one, with the wear of ``trade/wear.py``; the state that is shown
    trace.py     recorded readings as CSV
    replay.py    a recorded trace through the tracker
    simulate.py  invented burns
"""
