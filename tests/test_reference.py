"""The HTML reference: built by one command from the docstrings, nothing of it kept; every link leads somewhere."""

import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urldefrag

import pytest

import fem
import validation

ROOT = Path(__file__).parents[1]
# As told in DEVELOPERS.md.
COMMAND = ("-m", "pdoc", "patterns", "fem", "validation", "-d", "numpy", "--no-show-source", "-o")


class Page(HTMLParser):
    """Links and anchors of one page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.anchors: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = dict(attrs)
        if known.get("id"):
            self.anchors.add(str(known["id"]))
        if tag == "a" and known.get("href"):
            self.links.append(str(known["href"]))


@pytest.fixture(scope="module")
def pages(tmp_path_factory) -> dict[Path, Page]:
    folder = tmp_path_factory.mktemp("reference")
    made = subprocess.run(
        [sys.executable, *COMMAND, str(folder)], cwd=ROOT, capture_output=True, text=True, timeout=300
    )
    assert made.returncode == 0, made.stderr
    assert "Warn" not in made.stderr
    return {path.resolve(): Page(path.read_text(encoding="utf-8")) for path in folder.rglob("*.html")}


def test_every_name_handed_out_has_its_place(pages):
    by_name = {path.name: page for path, page in pages.items() if path.parent.name.startswith("reference")}
    for package, page in ((fem, by_name["fem.html"]), (validation, by_name["validation.html"])):
        assert set(package.__all__) <= page.anchors


def test_every_link_leads_somewhere(pages):
    seen = 0
    for path, page in pages.items():
        for link in page.links:
            target, anchor = urldefrag(link)
            if target.startswith(("http://", "https://")):
                continue
            there = (path.parent / unquote(target)).resolve() if target else path
            assert there in pages, f"{path.name}: {link}"
            assert not anchor or unquote(anchor) in pages[there].anchors, f"{path.name}: {link}"
            seen += 1
    assert seen > 500


def test_a_broken_link_would_be_seen():
    page = Page('<a href="#nowhere">x</a><p id="here">')
    assert page.links == ["#nowhere"]
    assert "nowhere" not in page.anchors
