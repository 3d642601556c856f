"""Records of the builds: they group, they never vanish, and their differences are tested."""

from dataclasses import replace

import numpy as np
import pytest

from tests.validation.laboratory import FLAT, measure
from validation.measured.groups import record_effects, record_lines
from validation.measured.measured import MeasuredBeam, read_specimens
from validation.study.study import load


def test_records_are_read_and_make_a_group(tmp_path):
    (tmp_path / "study.toml").write_text(FLAT + '[measured]\nspecimens = "s.csv"\n', encoding="utf-8")
    (tmp_path / "s.csv").write_text(
        "set_fill,specimen,build,breaking_force_N,spool,temperature_C,date\n"
        "0.15,A1,1,100,blue,210,2026-11-02\n0.15,A2,,101,red,,2026-11-03\n0.3,B1,,102,,,\n",
        encoding="utf-8",
    )
    found = read_specimens(load(tmp_path / "study.toml"))
    assert not any("not used" in text for text in found.remarks)
    assert found.beams[0].record == {"spool": "blue", "temperature_C": "210", "date": "2026-11-02"}
    assert found.beams[0].group == "1, spool blue, date 2026-11-02, temperature_C 210"
    assert [beam.group for beam in found.beams[1:]] == ["spool red, date 2026-11-03", ""]
    assert MeasuredBeam(2, "A", 0, 1.0, build="K").group == "K"


def test_a_weaker_spool_is_found_and_told():
    rows = measure(FLAT, {}, np.random.default_rng(75))
    groups = (("blue", 1.0), ("red", 0.8), ("red", 0.8))
    spools = [
        replace(
            row,
            beams=tuple(
                replace(b, record={"spool": spool}, breaking_force=b.breaking_force * factor)
                for b, (spool, factor) in zip(row.beams, groups, strict=True)
            ),
        )
        for row in rows
    ]
    found = record_effects(spools, "breaking_force")["spool"]
    assert found.p < 0.001
    assert found.ratios["red"].best / found.ratios["blue"].best == pytest.approx(0.8, rel=0.06)
    told = record_lines(spools)
    assert any(line.startswith("breaking force by spool, settings being equal: differs") for line in told)
    assert any(line.startswith("stiffness by spool, settings being equal: no difference") for line in told)


def test_a_spool_per_setting_cannot_be_told_from_the_settings():
    rows = measure(FLAT, {}, np.random.default_rng(76))
    mixed = [
        replace(row, beams=tuple(replace(b, build="", record={"spool": str(k)}) for b in row.beams))
        for k, row in enumerate(rows)
    ]
    assert isinstance(record_effects(mixed, "breaking_force")["spool"], str)
    assert any("cannot be told" in line for line in record_lines(mixed))
