"""The settings of a study: every combination of the lists in [vary], and single ones in [[setting]] beside them."""

import itertools
import math
from collections.abc import Mapping
from typing import Any

from validation.study.study_keys import default_of, known
from validation.study.study_problems import Problems

_VARY = 'vary: each entry is a dotted key and a list, such as "core.set_fill" = [0.2, 0.4]'
_SINGLE = 'setting: each [[setting]] is a table of dotted keys, such as "core.set_fill" = 0.4'
MOST_SETTINGS = 20_000
"""Four times the largest sweep that was measured; a slip in the lists makes millions, which no memory holds."""
_FILLS = {"core.set_fill", "core.geometric_fill"}


def flat(table: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    """Return nested tables as one with dotted keys, so that core.set_fill needs no quotes.

    Examples
    --------
    >>> flat({"core": {"set_fill": [0.2, 0.4]}, "print.walls": [2]})
    {'core.set_fill': [0.2, 0.4], 'print.walls': [2]}
    """
    found: dict[str, Any] = {}
    for key, value in table.items():
        found |= flat(value, f"{prefix}{key}.") if isinstance(value, Mapping) else {f"{prefix}{key}": value}
    return found


def flatten_settings(raw: dict[str, Any]) -> None:
    """Give ``vary`` and every ``setting`` of a study dotted keys, where they are tables at all."""
    if isinstance(raw.get("vary"), dict):
        raw["vary"] = flat(raw["vary"])
    if isinstance(raw.get("setting"), list):
        raw["setting"] = [flat(one) if isinstance(one, dict) else one for one in raw["setting"]]


def forget(raw: dict[str, Any], key: str) -> None:
    """Take a key out of what is varied and of every single setting; one that had no other goes too."""
    if isinstance(raw.get("vary"), dict):
        raw["vary"].pop(key, None)
    if isinstance(singles := raw.get("setting"), list) and all(isinstance(one, dict) for one in singles):
        left = [{name: value for name, value in one.items() if name != key} for one in singles]
        raw["setting"] = [one for one, was in zip(left, singles, strict=True) if one or not was]


def expand(raw: Mapping[str, Any], problems: Problems) -> list[dict[str, Any]]:
    """Return the varied keys of every setting, each once: the product of ``vary``, then the single ones.

    All have the same keys: where a setting does not name one that others have, it has the study's own value.
    """
    vary, singles = raw.get("vary", {}), raw.get("setting", [])
    if not isinstance(vary, dict) or not all(isinstance(values, list) and values for values in vary.values()):
        problems.add(_VARY)
        return [{}]
    if not isinstance(singles, list) or not all(isinstance(one, dict) and one for one in singles):
        problems.add(_SINGLE)
        return [{}]
    if (count := math.prod(map(len, vary.values())) + len(singles)) > MOST_SETTINGS:
        problems.add(f"vary: makes {count} settings; at most {MOST_SETTINGS} are taken: shorten its lists")
        return [{}]
    names = list(dict.fromkeys(itertools.chain(vary, *singles)))
    for name in names:
        if not known(name):
            problems.unknown(name, "vary." if name in vary else "setting.")
    if set(names) >= _FILLS:
        problems.add("vary, setting: set_fill and geometric_fill are both given; keep one")
    names = [name for name in names if known(name)]
    products = [dict(zip(vary, values, strict=True)) for values in itertools.product(*vary.values())]
    found: dict[Any, dict[str, Any]] = {}
    for given in [*(products if vary or not singles else []), *singles]:
        keys = {name: given[name] if name in given else _own(raw, name, problems) for name in names}
        found.setdefault(_frozen(list(keys.values())), keys)
    return list(found.values())


def _frozen(value: Any) -> Any:
    """Return a TOML value as something that can be looked up: equal ones, such as 1 and 1.0, are the same."""
    if isinstance(value, Mapping):
        return frozenset((key, _frozen(item)) for key, item in value.items())
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def _own(raw: Mapping[str, Any], key: str, problems: Problems) -> Any:
    """Return the study's own value of a key, or its default; a problem where it has neither."""
    value: Any = raw
    for part in key.split("."):
        value = value.get(part) if isinstance(value, Mapping) else None
    value = default_of(key) if value is None else value
    if value is None:
        problems.add(f"{key} is missing: some settings name it, so give all others a value in its table")
    return value
