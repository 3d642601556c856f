"""The README is run: its console blocks give what they show, its Python runs, its commands exist."""

import re
import shlex
from pathlib import Path

import pytest

from validation import cli
from validation.study.study_keys import study_keys
from validation.text.keys import keys_markdown

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w])")
# Numbers move in their last digit with versions of the mesher and the linear algebra.
TOLERANCE = 0.01


def blocks(kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", TEXT, re.DOTALL)


@pytest.fixture(autouse=True)
def at_the_root(monkeypatch):
    monkeypatch.chdir(ROOT)


@pytest.mark.parametrize("block", blocks("console"))
def test_console_blocks_give_what_they_show(block, capsys):
    command, _, shown = block.partition("\n")
    assert command.startswith("$ fillbend ")
    assert cli.main(shlex.split(command)[2:]) == 0
    told = capsys.readouterr().out
    if shown.endswith("...\n"):  # the README shows the beginning
        shown = shown.removesuffix("...\n")
        told = "\n".join(told.splitlines()[: len(shown.splitlines())])
    assert re.sub(NUMBER, "#", told).split() == re.sub(NUMBER, "#", shown).split()
    for now, then in zip(NUMBER.findall(told), NUMBER.findall(shown), strict=True):
        assert float(now) == pytest.approx(float(then), rel=TOLERANCE, abs=0.006)


def test_python_blocks_run(capsys):
    for block in blocks("python"):
        exec(compile(block, "README.md", "exec"), {})
    assert len(capsys.readouterr().out.splitlines()) == 6


def test_every_command_named_exists_and_every_command_is_named():
    named = set(re.findall(r"`fillbend ([a-z]+)", TEXT))
    present = set(cli.COMMANDS)
    assert named <= present
    assert present - named <= {"cache"}


def test_the_two_commands_stand_first_and_exist():
    assert TEXT.index("bash demos/first_run.sh") < TEXT.index("bash tests/run.sh") < TEXT.index("```console")
    for name in ("demos/first_run.sh", "tests/run.sh", ".ci/run"):
        assert (ROOT / name).exists()


def test_linked_files_exist():
    for target in re.findall(r"\]\(([^)#]+)\)", TEXT):
        assert (ROOT / target).exists(), target


def test_every_key_of_a_study_is_listed():
    shown = re.search(r"<!-- keys -->\n(.*?)<!-- /keys -->", TEXT, re.DOTALL)
    assert shown[1] == keys_markdown(study_keys())


@pytest.mark.slow
def test_the_walk_from_printed_beams_to_the_page_works_as_it_is_shown(tmp_path, monkeypatch, capsys):
    walk = TEXT.partition("## From printed beams to the page")[2].partition("\n## ")[0]
    commands = [
        line for block in re.findall(r"```bash\n(.*?)```", walk, re.DOTALL) for line in block.splitlines()
    ]
    (table,) = re.findall(r"```csv\n(.*?)```", walk, re.DOTALL)
    monkeypatch.chdir(tmp_path)
    first, *rest = (shlex.split(command)[1:] for command in commands)
    assert cli.main(first) == 0
    Path("arms/specimens.csv").write_text(table, encoding="utf-8")
    for words in rest:
        assert cli.main(words) == 0, words
    told = capsys.readouterr().out
    assert all(len(line.rstrip()) <= 80 for line in told.splitlines())
    assert "310" in told  # mean of 318.5 and 301 N
    assert "Kraft" not in told
    page = Path("arms/report.html").read_text(encoding="utf-8")
    assert page.count("<svg") > 1
    assert len(commands) == 3
