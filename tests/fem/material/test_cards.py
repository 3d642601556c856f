"""Cards refuse values that they once had, in one line each that says what to give."""

import pytest

from fem.material.cards import card_from, shipped, shipped_card
from patterns.errors import InputError


@pytest.mark.parametrize(
    ("key", "instead"),
    [
        ("weld_bending_mpa", "weld_tension_mpa"),
        ("notch_radius_mm", "weld_toughness_n_per_mm"),
        ("notch_sensitivity", "weld_toughness_n_per_mm"),
        ("squeeze_mm", "groove_closing"),
    ],
)
def test_old_keys_get_one_clear_line(key, instead):
    with pytest.raises(InputError, match=f"own.toml: {key}: no longer taken") as caught:
        card_from({key: 0.1}, "own.toml", shipped_card("PLA"))
    assert instead in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", shipped())
def test_welds_of_every_shipped_card_have_range_basis_and_evidence(name):
    card = shipped_card(name)
    for value in (card.weld_tension_mpa, card.weld_shear_mpa, card.weld_toughness_n_per_mm):
        assert value.low < value.best < value.high
        assert value.basis == "true_contact"
        assert value.evidence.split(":")[0] in ("read", "memory", "assumption")


def test_groove_closing_is_a_share():
    with pytest.raises(InputError, match="groove_closing"):
        card_from({"groove_closing": 1.2}, "own.toml", shipped_card("PLA"))
