"""What the shop hands to its customer: the record of a hole, and of a job with all its holes.

Every form is made from one set of facts, in one set of words, so that no two of them can differ.

facts.py     what the log says of a hole, as figures
sheet.py     the same in words, in one unit of length, in the order that one reads it
drawing.py   lines, areas and words on paper, in mm
section.py   the hole cut open, to scale
trace.py     depth and travel over the arc's time
text.py      plain text, for a terminal
markdown.py  Markdown
html.py      a page that needs nothing beside it
pdf.py       the same to print and to file
as_json.py   the facts for another program
"""
