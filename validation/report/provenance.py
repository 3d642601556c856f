"""Where a result comes from: versions, machine kind, hashes of the inputs, command line, time."""

import hashlib
import platform
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path

PACKAGES = ("fillbend", "numpy", "scipy", "scikit-fem", "gmsh", "meshio", "shapely", "pydantic", "matplotlib")


def sha256(path: Path) -> str:
    """Return the SHA-256 of a file in hexadecimal."""
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while block := stream.read(1 << 20):
            digest.update(block)
    return digest.hexdigest()


def provenance(
    inputs: Sequence[Path], seconds: float, command: Sequence[str] | None = None
) -> dict[str, str]:
    """Return name and value of everything needed to make a result again.

    File names are given without their folders, which say nothing to a reader elsewhere.

    Parameters
    ----------
    inputs : sequence of Path
        Files that were read.
    seconds : float
        Time taken so far.
    command : sequence of str, optional
        Words of the command line after the program's name; those of this process by itself.
    """
    words = sys.argv[1:] if command is None else command
    found = {
        "time (UTC)": datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S"),
        "seconds": f"{seconds:.1f}",
        "command": " ".join(["fillbend", *(Path(word).name if "/" in word else word for word in words)]),
    }
    found |= {f"SHA-256 of {path.name}": sha256(path) for path in inputs}
    found |= {"Python": platform.python_version(), "machine": f"{platform.system()} {platform.machine()}"}
    for package in PACKAGES:
        try:
            found[package] = metadata.version(package)
        except metadata.PackageNotFoundError:
            found[package] = "not installed"
    return found
