"""Failure modes: one wording for people, codes and words understood alike."""

import pytest

from fem.strength.failure import MODES
from validation.text.mode_words import FAILURE_CODES, MODE_CODES, failure_words, mode_words, parse_failure


def test_every_mode_has_words_and_a_code_of_its_own():
    unlike = set(MODE_CODES) ^ set(MODES)
    assert not unlike, (
        f"in fem.strength.failure.MODES or in MODE_CODES and _WORDS of mode_words.py, but not in both: {unlike}"
    )
    assert len(set(MODE_CODES.values())) == len({mode_words(mode) for mode in MODES}) == len(MODES)
    assert not any("_" in mode_words(mode) for mode in MODES)
    assert mode_words("") == "not evaluated"


@pytest.mark.parametrize("mode", MODES)
def test_the_programs_own_slugs_and_words_are_understood(mode):
    code = (MODE_CODES[mode],)
    assert parse_failure(mode) == parse_failure(mode_words(mode).capitalize()) == code
    assert parse_failure(mode.replace("_", " ")) == parse_failure(mode.replace("_", "-").upper()) == code


@pytest.mark.parametrize("code", FAILURE_CODES)
def test_every_code_and_its_meaning_are_understood(code):
    assert parse_failure(code.lower()) == parse_failure(FAILURE_CODES[code]) == (code,)


@pytest.mark.parametrize("text", ["snapped", "split", "still", "weld", "weld_tensoin", "T+snapped"])
def test_other_words_are_no_codes(text):
    assert parse_failure(text) is None
    assert failure_words(text) == text


def test_events_keep_their_order():
    assert parse_failure("core_shear + weld between layers, K") == ("S", "D", "K")
    assert failure_words("S+D") == "core shear, then weld between layers"
