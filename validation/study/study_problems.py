"""What is wrong in a study file, each mistake once and with the settings at which it appears."""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from patterns.errors import InputError
from validation.study.near_keys import nearest_key
from validation.study.study_keys import all_keys


class Problems:
    """Collects the problems of all settings of a study."""

    def __init__(self) -> None:
        self._found: dict[str, list[Mapping[str, Any]]] = {}

    def add(self, text: str, varied: Mapping[str, Any] | None = None) -> None:
        """Record a problem at a setting, told by the keys that are varied; each line is one of its own."""
        for line in text.splitlines():
            self._found.setdefault(line, []).append(varied or {})

    def unknown(self, key: str, prefix: str = "", more: Sequence[str] = ()) -> None:
        """Record a key that nobody knows, with the one that was probably meant."""
        near, beside = nearest_key(key, more)
        hint = f"did you mean {prefix}{near}?" if near else f"known are {', '.join(beside)}"
        self.add(f"{prefix}{key}: unknown key; {hint}")

    def add_invalid(self, error: ValidationError, varied: Mapping[str, Any]) -> None:
        """Record what the check of the tables has found."""
        for item in error.errors():
            where = ".".join(str(part) for part in item["loc"])
            if item["type"] == "extra_forbidden":
                self.unknown(where, more=["vary"])
                continue
            if item["type"] == "missing":
                is_table = any(key.startswith(f"{where}.") for key in all_keys())
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
