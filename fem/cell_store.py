"""Solved cells kept on disk: one npz per content hash, safe under parallel writers, bounded in size.

The store is a convenience: where it cannot be read or written, cells are solved again and nothing is said.
"""

import hashlib
import io
import json
import os
import tempfile
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

# Changes with everything that changes a stored number, so that old entries are not found any more.
SCHEME = 1
LIMIT_BYTES = 200_000_000


def default_folder() -> Path:
    """Return the user's cache folder for fillbend: FILLBEND_CACHE, or below XDG_CACHE_HOME or ~/.cache."""
    if own := os.environ.get("FILLBEND_CACHE"):
        return Path(own)
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "fillbend"


@dataclass(frozen=True)
class CellStore:
    """A folder of solved cells.

    Attributes
    ----------
    folder : Path
        Made when the first cell is kept.
    limit : int
        Bytes; the entries used longest ago go first.
    """

    folder: Path
    limit: int = LIMIT_BYTES

    def path(self, key: Mapping[str, Any]) -> Path:
        """Return the file of a key: the SHA-256 of its canonical JSON."""
        return self.folder / f"{hashlib.sha256(_canonical(key).encode()).hexdigest()}.npz"

    def get(self, key: Mapping[str, Any]) -> dict[str, np.ndarray] | None:
        """Return the arrays kept under a key, None where there are none or the file is damaged."""
        path = self.path(key)
        try:
            with np.load(io.BytesIO(path.read_bytes()), allow_pickle=False) as stored:
                arrays = {name: stored[name] for name in stored.files}
            if str(arrays.pop("key")) != _canonical(key):
                return None
            os.utime(path)
        except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
            return None
        return arrays

    def put(self, key: Mapping[str, Any], arrays: Mapping[str, np.ndarray]) -> bool:
        """Keep arrays under a key; return whether that was possible. A twin of another writer may be replaced."""
        temporary = None
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(dir=self.folder, suffix=".tmp")
            with os.fdopen(handle, "wb") as stream:
                np.savez(stream, key=np.array(_canonical(key)), **arrays)  # type: ignore[arg-type]
            os.replace(temporary, self.path(key))
        except OSError:
            if temporary:
                Path(temporary).unlink(missing_ok=True)
            return False
        self._bound()
        return True

    def entries(self) -> list[Path]:
        """Return the files of the store."""
        return sorted(self.folder.glob("*.npz")) if self.folder.is_dir() else []

    def size(self) -> int:
        """Return the bytes that the store takes."""
        return sum(size for _, size, _ in self._ages())

    def clear(self) -> int:
        """Remove every entry and return their number."""
        files = self.entries()
        for path in files:
            path.unlink(missing_ok=True)
        return len(files)

    def _ages(self) -> list[tuple[float, int, Path]]:
        found = []
        for path in self.entries():
            try:
                stat = path.stat()
            except OSError:  # another process has just removed it
                continue
            found.append((stat.st_mtime, stat.st_size, path))
        return sorted(found)

    def _bound(self) -> None:
        ages = self._ages()
        total = sum(size for _, size, _ in ages)
        for _, size, path in ages:
            if total <= self.limit:
                return
            path.unlink(missing_ok=True)
            total -= size


def _canonical(key: Mapping[str, Any]) -> str:
    return json.dumps({"scheme": SCHEME, **key}, sort_keys=True)
