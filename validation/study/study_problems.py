"""What is wrong in a study file, each mistake once and with the settings at which it appears."""

import difflib
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from patterns.errors import InputError


class Problems:
    """Collects the problems of all settings of a study.

    Parameters
    ----------
    keys : sequence of str
        All dotted keys a study may have, for suggestions.
    """

    def __init__(self, keys: Sequence[str]) -> None:
        self._keys = list(keys)
        self._found: dict[str, list[Mapping[str, Any]]] = {}

    def add(self, text: str, varied: Mapping[str, Any] | None = None) -> None:
        """Record a problem at a setting, told by the keys that are varied."""
        self._found.setdefault(text, []).append(varied or {})

    def unknown(self, key: str, prefix: str = "", more: Sequence[str] = ()) -> None:
        """Record a key that nobody knows, with the nearest known one."""
        known = [*self._keys, *more]
        table, _, name = key.rpartition(".")
        beside = {one.rpartition(".")[2]: one for one in known if one.rpartition(".")[0] == table}
        if not table:
            beside = {first: first for one in known if (first := one.partition(".")[0])}
        near = [beside[one] for one in difflib.get_close_matches(name, beside, 1)]
        near = near or ([] if table and beside else difflib.get_close_matches(key, known, 1))
        if near:
            hint = f"did you mean {prefix}{near[0]}?"
        else:
            hint = f"known are {', '.join(beside or dict.fromkeys(one.partition('.')[0] for one in known))}"
        self.add(f"{prefix}{key}: unknown key; {hint}")

    def add_invalid(self, error: ValidationError, varied: Mapping[str, Any]) -> None:
        """Record what the check of the tables has found."""
        for item in error.errors():
            where = ".".join(str(part) for part in item["loc"])
            if item["type"] == "extra_forbidden":
                self.unknown(where, more=["vary", "measured.specimens"])
                continue
            if item["type"] == "missing":
                is_table = any(key.startswith(f"{where}.") for key in self._keys)
                self.add(f"[{where}] is missing" if is_table else f"{where} is missing", varied)
                continue
            text = item["msg"].removeprefix("Value error, ")
            remedy = _remedy(item["input"]) if item["type"].startswith(("float", "int")) else ""
            value = "" if item["type"] == "value_error" else f" (got {item['input']!r}{remedy})"
            self.add(f"{where}: {text[0].lower()}{text[1:]}{value}", varied)

    def refuse(self, path: Path, n_settings: int) -> None:
        """Raise InputError with one line per problem, if there is any."""
        if self._found:
            lines = (f"{path}: {text}{_place(at, n_settings)}" for text, at in self._found.items())
            raise InputError("\n".join(lines))


def _remedy(value: Any) -> str:
    """Return the way to write a number that has a decimal comma or a unit."""
    if not isinstance(value, str):
        return ""
    if comma := re.fullmatch(r"\s*([-+]?\d+),(\d+)\s*", value):
        return f"; write {comma[1]}.{comma[2]} with a decimal point"
    unit = re.fullmatch(r"\s*([-+]?\d+(?:\.\d+)?)\s*[A-Za-z/]+\s*", value)
    return f"; the unit is in the key's name: write {unit[1]}" if unit else ""


def _place(at: Sequence[Mapping[str, Any]], n_settings: int) -> str:
    """Return the settings of a problem: nothing for all, the varied values they share, else the first and how many."""
    if len(at) == n_settings or not at[0]:
        return ""
    shared = {key: value for key, value in at[0].items() if all(one.get(key) == value for one in at)}
    told = ", ".join(f"{key} = {value}" for key, value in (shared or at[0]).items())
    return f" (at {told}{'' if shared else f' and {len(at) - 1} more settings'})"
