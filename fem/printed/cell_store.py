"""Solved cells and estimates kept on disk: one npz per content hash, safe under parallel writers, bounded in size.

The last 32 bytes of a file are the SHA-256 of the others, which readers of npz pass over.

The store is a convenience: where it cannot be read or written, cells are solved again and nothing is said.
"""

import contextlib
import hashlib
import io
import json
import os
import tempfile
import time
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

import patterns
from patterns.files import UnreadableFileError, read_regular

Cell = TypeVar("Cell")
_DIGEST = hashlib.sha256().digest_size
LIMIT_BYTES = 50_000_000
_LONGEST = 20_000_000
"""Bytes of an entry; a solved cell takes a few kilobytes."""
# One put in so many looks at the whole folder, which takes 2 us per entry: the limit may be passed by as many entries.
_LOOKS = 16
_ABANDONED_S = 3600.0  # a temporary file older than this has lost its writer


def sources() -> list[tuple[str, Path]]:
    """Return the files behind every result, with their names inside their packages: all of patterns and fem."""
    return [
        (f"{home.name}/{path.relative_to(home).as_posix()}", path)
        for home in (Path(__file__).parents[1], Path(patterns.__path__[0]))
        for path in sorted(home.rglob("*.py"))
    ]


@cache
def code_stamp() -> str:
    """Return a hash of the code behind every result: patterns, fem and the libraries that mesh and solve.

    It is part of every key, so that nothing is found that another version has kept.
    """
    stamp = hashlib.sha256()
    for name, path in sources():
        stamp.update(name.encode() + path.read_bytes())
    for library in ("gmsh", "numpy", "scikit-fem", "scipy", "shapely"):
        try:
            stamp.update(f"{library} {version(library)}".encode())
        except PackageNotFoundError:  # installed without its metadata
            continue
    return stamp.hexdigest()


def default_folder() -> Path:
    """Return the user's cache folder for fillbend: FILLBEND_CACHE, or below XDG_CACHE_HOME or ~/.cache."""
    if own := os.environ.get("FILLBEND_CACHE"):
        return Path(own)
    # as their specification has it, a folder that hangs on where one stands does not count
    if (below := Path(os.environ.get("XDG_CACHE_HOME", ""))).is_absolute():
        return below / "fillbend"
    try:
        if (home := Path.home()).is_absolute():
            return home / ".cache" / "fillbend"
    except RuntimeError:  # no HOME, and nobody knows the user
        pass
    return Path(os.devnull) / "fillbend"  # nothing is kept


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
            if path.is_symlink():
                return None
            raw = read_regular(path, _LONGEST)
            os.utime(path, follow_symlinks=False)  # used now: the last to go
        except (UnreadableFileError, OSError):
            return None
        npz, digest = raw[:-_DIGEST], raw[-_DIGEST:]
        if hashlib.sha256(npz).digest() != digest:
            return None
        try:
            with np.load(io.BytesIO(npz), allow_pickle=False) as stored:
                if sum(item.file_size for item in stored.zip.infolist()) > _LONGEST:
                    return None
                arrays = {name: stored[name] for name in stored.files}
            return arrays if str(arrays.pop("key")) == _canonical(key) else None
        except (
            ValueError,
            TypeError,
            KeyError,
            AttributeError,
            OSError,
            EOFError,
            zipfile.BadZipFile,
            zlib.error,
        ):
            # Rightly stamped, but by no writer of ours.
            return None

    def put(self, key: Mapping[str, Any], arrays: Mapping[str, np.ndarray]) -> bool:
        """Keep arrays under a key; return whether that was possible. A twin of another writer may be replaced."""
        buffer, temporary = io.BytesIO(), None
        # names of arrays cannot be allow_pickle, which the checker fears
        np.savez(buffer, key=np.array(_canonical(key)), **arrays)  # type: ignore[arg-type]
        npz = buffer.getvalue()
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(dir=self.folder, suffix=".tmp")
            with os.fdopen(handle, "wb") as stream:
                stream.write(npz + hashlib.sha256(npz).digest())
            os.replace(temporary, self.path(key))
        except OSError:
            if temporary:
                Path(temporary).unlink(missing_ok=True)
            return False
        if hashlib.sha256(npz).digest()[0] < 256 / _LOOKS:
            with contextlib.suppress(OSError):  # a folder that takes files and gives none up
                self._bound()
        return True

    def entries(self) -> list[Path]:
        """Return the files of the store, the one used longest ago first."""
        return [path for _, _, path in self._ages(".npz")]

    def size(self) -> int:
        """Return the bytes that the store takes."""
        return sum(size for _, size, _ in self._ages(".npz"))

    def clear(self) -> int:
        """Remove every entry and return their number."""
        files = self.entries()
        for path in files:
            path.unlink(missing_ok=True)
        self._sweep_abandoned()
        return len(files)

    def _ages(self, suffix: str) -> list[tuple[float, int, Path]]:
        """Return time of last use, bytes and path of the files with a suffix, oldest first."""
        found = []
        try:
            with os.scandir(self.folder) as files:
                for file in files:
                    if file.name.endswith(suffix):
                        try:
                            if not file.is_file(follow_symlinks=False):
                                continue
                            stat = file.stat(follow_symlinks=False)
                        except FileNotFoundError:  # another process has just removed it
                            continue
                        found.append((stat.st_mtime, stat.st_size, Path(file.path)))
        except OSError:
            return []
        return sorted(found)

    def _bound(self) -> None:
        self._sweep_abandoned()
        ages = self._ages(".npz")
        total = sum(size for _, size, _ in ages)
        for _, size, path in ages:
            if total <= self.limit:
                return
            path.unlink(missing_ok=True)
            total -= size

    def _sweep_abandoned(self) -> None:
        for used, _, path in self._ages(".tmp"):
            if time.time() - used > _ABANDONED_S:
                path.unlink(missing_ok=True)


def kept(
    store: CellStore | None,
    key: Mapping[str, Any],
    solve: Callable[[], Mapping[str, np.ndarray]],
    read: Callable[[Mapping[str, np.ndarray]], Cell],
) -> Cell:
    """Return what ``read`` makes of the arrays kept under a key; solved and kept where there are none.

    Arrays that ``read`` cannot take (KeyError, TypeError, ValueError) count as missing.
    """
    found = store.get(key) if store is not None else None
    if found is not None:
        with contextlib.suppress(KeyError, TypeError, ValueError):
            return read(found)
    solved = solve()
    if store is not None:
        store.put(key, solved)
    return read(solved)


def _canonical(key: Mapping[str, Any]) -> str:
    return json.dumps({"code": code_stamp(), **key}, sort_keys=True)
