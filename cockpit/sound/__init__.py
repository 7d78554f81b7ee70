"""What is heard, without a screen: nothing in here knows the terminal.

rhythms.py    the rhythm of the bell for each call
words.py      what is said of a call, and on the way to the target
speech.py     the computer's speech program, which nobody waits for
"""
