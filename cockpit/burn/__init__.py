"""What happens while the arc is on: readings and marks in, one state and calls out.

Pure: time comes in with the reading. The same tracker serves the screen, the replay of a recorded
trace and the rehearsal.

    reading.py   what a gauge said and what the operator marked, as the log keeps them
    gate.py      which readings count, and when none come
    steady.py    what of a shaking travel can be relied on
    cusum.py     a sequential test for a change of drift
    falls.py     that test, for a fall against the burn's own feed
    landing.py   a tip on its way down, to the work or through it
    progress.py  how the burn gets on: high-water travel, feed, falls
    estimate.py  how deep that is: travel less the wear of ``trade/wear.py``
    arcwatch.py  whether the arc seems on or off, told from the readings alone
    calls.py     when the operator has something to do, and what
    aim.py       what a burn aims at, and what the plan expects
    state.py     how a burn stands, as the screen shows it
    tracker.py   all of these as one: events in, state and calls out
    trace.py     recorded readings as CSV
    replay.py    a recorded trace through the tracker
    arctime.py   the arc's own clock, which stands still while the arc is off
    gaps.py      when the arc was on and nothing was read
    hindsight.py the depth all along, once it was measured
    scene.py     the hole, tool and manners of an invented burn
    simulate.py  the invented burn itself; what chance brings to it: simulate_chance.py
"""
