"""Where everything is kept: one SQLite file a shop.

schema.py     the tables, and how an older file becomes a newer one
store.py      opens the file and writes to it
rows.py       what the log gives back
questions.py  what can be asked of it
record.py     one hole told on a page
"""
