"""What the trade knows: how a broken tool is burnt out without touching what must stay.

The rooms, in the order the plan walks through them:

- ``threads``: the thread that has to survive, read from its designation, with its minor diameter
  (``designations`` reads the text, ``series`` holds the standards' tables, ``completion`` says
  what a text that is not finished may become);
- ``remnants``: what is broken in it, and what of that has to go;
- ``wear``: what is believed of the electrode's getting shorter, and what measuring tells;
- ``depth``: how deep the burn has to get, and where to stop while the electrode wears;
- ``electrodes``: the two-sided window between thread and web, and the electrode that fits it best;
  ``fit``: which one this hole gets, and how far it reaches;
- ``current``, ``flush``: the heat range and the water;
- ``timing``, ``price``: how long, and what it costs;
- ``cautions``, ``doubts``: what to heed, and what to know before accepting.

What it walks with:

- ``ticket``: what was asked about the hole, and the shop it will be burnt in;
- ``figures``: where each figure of a plan comes from, what rests on it, and who overruled it;
- ``plan``: all of it for one hole.

What comes after it:

- ``checks``: what to look at before the arc;
- ``centring``: whether the pilot spot is where it should be;
- ``smoothing``: the wear along a burn, as it looks once the burn is over.

Everything here is a pure function or a frozen model: no clock, no file, no screen. Lengths are
millimetres, times seconds, currents amperes, pressures kilopascals; a name ends in its unit.
"""
