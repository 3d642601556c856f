"""The distribution: built from what is tracked, installed elsewhere, it does the main job without a checkout near."""

import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
pytestmark = pytest.mark.slow
# invented beams of the study that `fillbend init` writes
BEAMS = """set_fill,specimen,breaking_force_N
0.15,A1,318
0.15,A2,301
0.30,B1,322
0.30,B2,340
0.50,C1,361
0.50,C2,349
0.70,D1,402
0.70,D2,389
"""
WHERE = """
import sys, fem, patterns, validation, validation.cli
from importlib import metadata
print(*(module.__file__ for module in (fem, patterns, validation)), sep="\\n")
print(metadata.version("fillbend"))
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """A wheel made of the tracked files, as from a fresh clone."""
    source, target = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).exists():
            (source / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, source / name)
    words = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(target), str(source)]
    done = subprocess.run(words, cwd=target, capture_output=True, text=True, check=False)
    if done.returncode and re.search(
        r"setuptools.*\n?.*(No matching distribution|connection)", done.stderr, re.I | re.S
    ):
        pytest.skip("no package index gives the build backend")
    assert done.returncode == 0, done.stderr
    (made,) = target.glob("fillbend-*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory) -> Path:
    place = tmp_path_factory.mktemp("site")
    words = ["-m", "pip", "install", "-q", "--no-deps", "--no-index", "--target", str(place), str(wheel)]
    subprocess.run([sys.executable, *words], cwd=place, check=True)
    return place


def run(installed: Path, cwd: Path, *words: str) -> str:
    """Run Python away from the checkout with the installed copy first."""
    environment = {**os.environ, "PYTHONPATH": str(installed)}
    done = subprocess.run(
        [sys.executable, *words], cwd=cwd, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_everything_tracked_that_a_run_needs_is_in_the_wheel(wheel):
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    tracked = {name for name in listed if name.split("/")[0] in ("patterns", "fem", "validation")}
    assert tracked - names <= {"fem/LICENSE"}
    assert any(re.fullmatch(r"fillbend-[^/]+\.dist-info/licenses/fem/LICENSE", name) for name in names)
    assert not any(name.startswith(("tests", "demos")) for name in names)


def test_the_main_job_runs_elsewhere(installed, tmp_path):
    *homes, version = run(installed, tmp_path, "-c", WHERE).splitlines()
    assert all(Path(home).is_relative_to(installed) for home in homes)
    script = str(installed / "bin" / "fillbend")
    assert run(installed, tmp_path, script, "--version").split() == ["fillbend", version]
    run(installed, tmp_path, script, "init", "--pattern", "square", "-o", "arms")
    (tmp_path / "arms" / "specimens.csv").write_text(BEAMS, encoding="utf-8")
    told = run(installed, tmp_path, script, "reconcile", "arms/study.toml")
    assert "310" in told  # mean of 318 and 301 N
    run(installed, tmp_path, script, "report", "arms/study.toml", "-o", "page.html")
    assert (tmp_path / "page.html").read_text(encoding="utf-8").count("<svg") > 1
