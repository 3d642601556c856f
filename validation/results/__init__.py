"""One flattening of results: every other form is read off the dictionary of the JSON output.

Knows:
    - ``columns``: quantities, their units and the names of their columns; the one definition for JSON, CSV and figures
    - ``estimates``: an estimate as the dictionary of the JSON output, and its plain row read off that dictionary
    - ``criteria``: what breaks a beam, where, and by which formula
    - ``beside``: measured beams beside estimates, as rows and as dictionaries
    - ``csv_table``: rows written and read back

Hands out plain dictionaries, units in the names: ``text`` words them, ``sweep`` keeps them, ``report`` draws them.

Checked: a sweep's table, a report's rows and the JSON output hold the same numbers (``tests/validation/sweep``,
``tests/validation/results``).

Weak: band ends go to the table for the headline quantities only; bands of single modes stand in the JSON output alone.
"""
