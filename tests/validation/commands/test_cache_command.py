"""``fillbend cache``: shows what is kept and where, clears it and nothing else."""

import json

import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.printed.cell_store import CellStore, default_folder
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from validation.cli import main


@pytest.fixture
def store(tmp_path, monkeypatch):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path / "cells"))
    return CellStore(default_folder())


def test_an_empty_cache_is_shown_without_being_made(store, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    assert main(["cache"]) == 0
    out = capsys.readouterr().out
    assert out == f"0 entries, 0.00 MB of at most {store.limit / 1e6:.0f} MB, in {store.folder}\n"
    assert not store.folder.exists()


def test_cells_of_an_estimate_are_counted_and_cleared(store, capsys):
    estimate(
        Setting(
            Specimen("rectangle", 6.0, 5.0, 60.0),
            Printing("flat", Bead(0.51, 0.25), walls=1, bottom_layers=2, top_layers=2),
            Core("square", 0.4),
            BendTest("three_point", span=50.0),
            shipped_card("PLA"),
        ),
        store=store,
    )
    (store.folder / "notes.txt").write_text("mine", encoding="utf-8")
    assert main(["cache", "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown["entries"] == len(store.entries()) > 0
    assert shown["bytes"] == sum(path.stat().st_size for path in store.entries())
    assert (shown["folder"], shown["cleared"]) == (str(store.folder), None)
    assert main(["cache", "--clear"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"cleared {shown['entries']} entries"
    assert lines[1].startswith("0 entries, 0.00 MB")
    assert [path.name for path in store.folder.iterdir()] == ["notes.txt"]
