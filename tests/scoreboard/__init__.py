"""How well the estimator does on published series, beside rivals: ``python -m tests.scoreboard``.

A series is one source, one material and one quantity over several settings. The estimator is asked through
`fem.estimation` only, so the table measures whatever physics is there; nothing of it is fitted but one scale, and that
from the other settings. What a source does not state is asked at a few stated corners, each a reading of the series;
the table gives the range over them and never a choice. Errors are on the logarithm: mean of abs(ln(told/measured)),
printed as exp(mean) - 1 in per cent.

series                                             rows and readings, and the reader of tables
utah, flat_bars, rasters, tubes, spools, ratios    the sources
ask                                                from an estimate to plain numbers
rivals, scoring, ceiling, board                    what is compared, and how
table                                              Markdown and JSON
"""
