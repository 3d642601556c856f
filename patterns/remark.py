"""What a reader should be told beside a result: a code and its data. The words are the outermost room's."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Remark:
    """Something to tell.

    Attributes
    ----------
    code : str
        What is told, as in "few_cells".
    values : tuple of (str, Any)
        Names and values, in mm, N, MPa, g and min; shares are fractions of one.

    Examples
    --------
    >>> remark = Remark.of("few_cells", cells=1.5)
    >>> remark.code, remark["cells"]
    ('few_cells', 1.5)
    """

    code: str
    values: tuple[tuple[str, Any], ...] = ()

    @classmethod
    def of(cls, code: str, **values: Any) -> "Remark":
        """Return the remark with values by name."""
        return cls(code, tuple(values.items()))

    def __getitem__(self, name: str) -> Any:
        return dict(self.values)[name]
