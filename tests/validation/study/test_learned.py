"""What one study taught starts the next: written, read, widened for another spool, refused where it is no such file."""

import pytest

from fem.material.cards import shipped_card
from patterns.errors import InputError
from tests.validation.laboratory import UPRIGHT, write_laboratory
from tests.validation.study.test_study import GOOD, write
from validation import cli
from validation.study.learned import learned_card, learned_toml
from validation.study.study import load

ABOUT = {
    "study": 'Rods "B"',
    "sha256": "0" * 64,
    "beams": 12,
    "settings": 4,
    "record": {"spool": "blue 7", "printer": "left", "date": "2026-11-02"},
    "scatter_percent": {"breaking_force": 4.0},
}
VALUES = {"young_mpa": (2100.0, 2200.0, 2320.0), "groove_closing": (0.0, 0.1, 0.4)}


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "learned.toml"
    path.write_text(learned_toml(shipped_card("PETG"), VALUES, ABOUT), encoding="utf-8")
    return path


def test_the_same_spool_printer_and_date_take_the_values_as_they_were_learned(file):
    card = learned_card(file, None, ABOUT["record"])
    assert (card.young_mpa.low, card.young_mpa.best, card.young_mpa.high) == pytest.approx((2100, 2200, 2320))
    assert card.young_mpa.evidence == 'learned from 12 beams of Rods "B"'
    # what no beam told is the card's
    assert card.density_g_cm3 == shipped_card("PETG").density_g_cm3


def test_another_spool_widens_in_squares_and_says_so(file):
    card = learned_card(file, None, {**ABOUT["record"], "spool": "red 1"})
    # half ranges of 100 and 120 with 8 % of 2200
    assert card.young_mpa.low == pytest.approx(2200 - (100**2 + 176**2) ** 0.5)
    assert card.young_mpa.high == pytest.approx(2200 + (120**2 + 176**2) ** 0.5)
    assert "widened by 8 % for spool red 1 for blue 7" in card.young_mpa.evidence
    assert card.groove_closing.low == 0.0
    # not recorded is not known to be the same
    unknown = learned_card(file, None, {}).young_mpa
    assert unknown.high - unknown.low > card.young_mpa.high - card.young_mpa.low


def test_a_study_starts_from_what_was_learned_and_its_own_values_stand_on_top(file):
    build = '[build]\nspool = "blue 7"\nprinter = "left"\ndate = 2026-11-02\n'
    material = '[material]\nlearned = "learned.toml"\ndensity_g_cm3 = 1.25\n'
    (named,) = load(write(file.parent, GOOD + material + build)).settings
    assert named.setting.card.young_mpa.high == pytest.approx(2320)
    assert named.setting.card.density_g_cm3.best == 1.25


@pytest.mark.parametrize("text", ["", "x = 1", "[about]\n[values]", "not toml"])
def test_another_file_is_refused_in_one_line(tmp_path, text):
    (tmp_path / "learned.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"material.learned: .*not a file of `fillbend calibrate`"):
        load(write(tmp_path, GOOD + '[material]\nlearned = "learned.toml"\n'))
    with pytest.raises(InputError, match="no such file"):
        load(write(tmp_path, GOOD + '[material]\nlearned = "other.toml"\n'))


def test_calibrate_writes_what_the_next_study_reads(tmp_path, capsys):
    truth = {"young_mpa": 3700.0, "weld_bending_mpa": 38.0, "density_g_cm3": 1.26}
    study = write_laboratory(tmp_path, UPRIGHT, truth, seed=91)
    assert cli.main(["calibrate", str(study), "-o", str(tmp_path / "learned.toml")]) == 0
    assert "young_mpa" in capsys.readouterr().err
    again = tmp_path / "next.toml"
    again.write_text(UPRIGHT.replace('card = "PLA"', 'learned = "learned.toml"'), encoding="utf-8")
    card = load(again).settings[0].setting.card
    assert card.young_mpa.low < 3700 < card.young_mpa.high
    assert card.density_g_cm3.best == pytest.approx(1.26, rel=0.02)
    assert "learned from 18 beams" in card.young_mpa.evidence
    assert cli.main(["calibrate", str(study), "-o", str(tmp_path / "learned.csv")]) == 2
