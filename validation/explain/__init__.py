"""Surprises: steps in a series and the causes that could make them.

- Road: `series` (force, not force per gram, by the varied key) -> steps (statistics) -> `causes` (judges
  that return points and evidence) -> `split` (shares of a jump) -> `explain`.
- To add a cause: a judge in `causes` and a line in `_CAUSES`; scores are judgement, not probability.
- Checked by: planted steps found, smooth series left alone, shares that sum to one.
- Weak: a step in the first interval and strongly cubic trends.
"""
