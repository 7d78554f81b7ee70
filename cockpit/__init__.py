"""A cockpit for the operator who burns broken tools out of parts with a metal disintegrator.

It plans, walks through the set-up, tracks the burn, calls, and keeps the log. It reads a depth
indicator and nothing else: it has no output to the machine.
"""

__version__ = "0.1.0"
