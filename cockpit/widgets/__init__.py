"""What several screens draw with: pure drawings, and thin widgets around them.

A drawing is made by a plain function from plain figures to lines of characters (``picture.py``),
so it can be tested and printed without a terminal. The widget beside it only picks the size and
the colours.
"""
