"""What the trade knows: how a broken tool is burnt out without touching what must stay.

The rooms, in the order the plan walks through them:

- ``threads``: the thread that has to survive, read from its designation, with its minor diameter
  (``designations`` reads the text, ``series`` holds the standards' tables);
- ``remnants``: what is broken in it, and what of that has to go;
- ``electrodes``: the two-sided window between thread and web, and the electrode that fits it best;
- ``current``, ``flush``: the heat range and the water;
- ``wear``: what is believed of the electrode's getting shorter, and what measuring tells;
- ``depth``: where to stop while it does;
- ``timing``, ``price``: how long, and what it costs;
- ``cautions``, ``checks``: what to heed, and what to look at before the arc;
- ``centring``: whether the pilot spot is where it should be;
- ``ticket``, ``fit``, ``doubts``, ``plan``: all of it for one hole;
- ``figures``: where each figure of a plan comes from, and who overruled it.

Everything here is a pure function or a frozen model: no clock, no file, no screen. Lengths are
millimetres, times seconds, currents amperes, pressures kilopascals; a name ends in its unit.
"""
