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


def provenance(inputs: Sequence[Path], seconds: float) -> dict[str, str]:
    """Return name and value of everything needed to make a result again.

    File names are given without their folders, which say nothing to a reader elsewhere.
    """
    found = {
        "time (UTC)": datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S"),
        "seconds": f"{seconds:.1f}",
        "command": " ".join(
            ["fillbend", *(Path(word).name if "/" in word else word for word in sys.argv[1:])]
        ),
        "Python": platform.python_version(),
        "machine": f"{platform.system()} {platform.machine()}",
    }
    for package in PACKAGES:
        try:
            found[package] = metadata.version(package)
        except metadata.PackageNotFoundError:
            found[package] = "not installed"
    found |= {f"SHA-256 of {path.name}": sha256(path) for path in inputs}
    return found
