"""Which code makes the rows of a sweep, told by a hash that every worker must share."""

import hashlib
from functools import cache
from pathlib import Path

from fem.printed.cell_store import code_stamp
from validation.results import columns, criteria, estimates
from validation.text import remarks


@cache
def row_stamp() -> str:
    """Return a hash of the code that makes a row: that of the estimate, and that of its outer form."""
    form = [Path(str(module.__file__)).read_bytes() for module in (columns, criteria, estimates, remarks)]
    return hashlib.sha256(code_stamp().encode() + b"".join(form)).hexdigest()
