"""Lines under a table that sum it up: largest, smallest, mean, scatter, in some languages."""

import re

_NAMES = (
    r"max(?:imum|imal(?:wert)?)?|min(?:imum|imal(?:wert)?)?|mean|avg|average|mittel(?:wert)?|moyenne|media|promedio|"
    r"gemiddeld|s\.?d\.?|std\.? ?(?:dev\.?)?|standard deviation|standardabweichung|stdev|écart[- ]type|desv\w*|dev\w*|"
    r"cv|cov|rsd|count|anzahl|n|sum(?:me)?|total|somme|totale|median|range|spanne|peak|var(?:iance)?|spread"
)
_TOTALS = re.compile(rf"(?:{_NAMES})(?: ?\(.{{0,12}}\))?", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_][\w. ]*")


def names_totals(text: str) -> bool:
    """Say whether a cell names a line of totals.

    Examples
    --------
    >>> names_totals("Max:"), names_totals("Std. dev."), names_totals("Maximilian")
    (True, True, False)
    """
    return _TOTALS.fullmatch(text.strip(" :.=\"'")) is not None


def totals_among(text: str) -> bool:
    """Say whether any word of some lines names a line of totals."""
    return any(_TOTALS.fullmatch(word) for word in set(_WORD.findall(text)))
