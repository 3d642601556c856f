"""All wording and formatting: the lowest room of validation, which reads plain data and knows no other room.

Knows:
    - ``numbers``: digits, ranges "best (low to high)", means ± half an interval, shares; nobody else writes them
    - ``quantities``, ``mode_words``: what people read for quantities, units, failure modes and codes noted at the rig
    - ``remarks``: the words of each code that patterns and fem remark, with the study's entries and commands in them
    - ``errors``: which entry of the study an error of a lower room is about
    - ``screen``: tables and lines as wide as the page; ``output``: JSON objects, lines on standard error, cells that no
      spreadsheet runs, files written whole or not at all, the cautions; ``glossary``: the program's words
    - ``estimates``, ``reconciliation``, ``choices``, ``plans``, ``patterns``: tables read off the JSON form

Hands out text. Commands print what comes from here and never format by hand.

Checked: every code has words and every word a code; every entry named is one of the study (``tests/validation/text``).

Weak: rooms whose findings are sentences (explain, predict, repeats, plan advice) word them themselves, with the formats
of ``numbers``; tables of cells, rankings and runs stand beside what they show (``*_output.py``).
"""
