"""What the trade knows: how a broken tool is burnt out without touching what must stay.

The rooms, in the order the plan walks through them:

- ``threads``: the thread that has to survive, read from its designation, with its minor diameter;
- ``remnants``: what is broken in it, and what of that has to go;
- ``electrodes``: the two-sided window between thread and web, and the electrode that fits it best;
- ``current``, ``flush``: the heat range and the water;
- ``depth``: where to stop, when the electrode itself gets shorter;
- ``timing``, ``price``: how long, and what it costs;
- ``cautions``, ``checks``: what to heed, and what to look at before the arc;
- ``centring``: whether the pilot spot is where it should be;
- ``plan``: all of it for one hole, with ``sources``: where each figure comes from.

Everything here is a pure function or a frozen model: no clock, no file, no screen. Lengths are
millimetres, times seconds, currents amperes, pressures kilopascals; a name ends in its unit.
"""
