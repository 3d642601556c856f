"""Figures and the page to send to somebody; the only room that draws.

- A figure is a function of rows (`validation.results`) that returns a `style.Picture` or raises
  `InputError` when the data do not allow it; enter it in `figures.py`. The title states the finding, force
  and stiffness axes start at zero, single beams are always drawn, model bands are hatched, series differ in
  colour (Okabe-Ito), marker and dash.
- The page is one file: hash-only content policy, no style attributes, text in pictures as paths; its
  explorer interpolates nothing and draws sections from one period of the pattern.
- Checked by: a headless browser, numbers of the page against the results, every figure looked at.
- Weak: gaps too narrow for a bead are missing in the explorer's picture.
"""
