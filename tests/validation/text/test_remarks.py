"""Every code that a lower room remarks has words, and every choice that an error names has an entry of the study."""

import ast
from pathlib import Path

import pytest

from patterns.errors import InputError, SolverError
from patterns.remark import Remark
from validation.study.study_keys import all_keys
from validation.text.errors import ENTRIES, error_words
from validation.text.remarks import WORDS, remark_lines, remark_words

ROOT = Path(__file__).parents[3]
LOWER = [path for room in ("patterns", "fem") for path in (ROOT / room).rglob("*.py")]


def constants(wanted):
    """Return the texts that ``wanted`` picks from the calls of the lower rooms."""
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in LOWER)
    calls = (node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Call))
    return {
        item.value
        for call in calls
        for part in wanted(call)
        for item in ast.walk(part)
        if isinstance(item, ast.Constant) and isinstance(item.value, str)
    }


def test_every_code_has_words_and_every_word_a_code():
    codes = constants(lambda call: call.args[:1] if ast.unparse(call.func) == "Remark.of" else ())
    assert codes - {"few_cells"} < codes  # the search finds what it is for
    assert codes == WORDS.keys()


def test_every_choice_that_an_error_names_is_an_entry_of_the_study():
    def keys(call):
        is_error = ast.unparse(call.func).endswith("Error")
        return [word.value for word in call.keywords if is_error and word.arg == "key"]

    named = constants(keys)
    assert "core.pattern" in named
    assert named <= ENTRIES.keys()
    known = {*all_keys(), "material.card"}
    assert all(
        any(key == entry or key.startswith(f"{entry}.") for key in known) for entry in ENTRIES.values()
    )


def test_messages_of_lower_rooms_name_no_command():
    for path in LOWER:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Raise):
                assert "fillbend " not in ast.unparse(node), path


@pytest.mark.parametrize(
    ("remark", "words"),
    [
        (
            Remark.of("few_cells", cells=1.24),
            "only 1.2 line distances span the core: where lines fall matters",
        ),
        (
            Remark.of("short_beam", test="cantilever", reach=24.0, depth=8.0, missed_share=0.029),
            "lever 24 mm is only 3 times the depth 8 mm: beam theory misses about 3 % of",
        ),
        (
            Remark.of("overfull", excess_share=0.042),
            "the deposited volume is 4.2 % larger than the outline's",
        ),
        (
            Remark.of("unknown_value", name="weld_shear_mpa", modes=("core_shear", "weld_tension")),
            "weld_shear_mpa unknown (give it under [material]): core shear, weld tension not evaluated in full",
        ),
        (
            Remark.of("joint_carries_shear", stiffness_ratio=0.121, force_ratio=0.3),
            "open, the stiffness is 0.12 times that and the breaking force 0.3 times",
        ),
        (
            Remark.of("no_model_error", reason="lines at 30 degrees", key="core.angle_deg"),
            "the bands hold no model error: core.angle_deg: lines at 30 degrees",
        ),
    ],
)
def test_remarks_are_worded_with_their_data(remark, words):
    assert words in remark_words(remark)


def test_remarks_are_told_once_with_the_settings_they_hold_for():
    few, full = Remark.of("few_cells", cells=1.0), Remark.of("no_core_left")
    lines = remark_lines([("a", (full, few)), ("b", (full,)), ("c", (full, few))])
    assert lines == [remark_words(full), f"{remark_words(few)} (at a; c)"]


def test_errors_are_led_by_the_entry_that_they_are_about():
    assert (
        error_words(InputError("walls 9: too many", key="printing.walls")) == "print.walls: walls 9: too many"
    )
    assert error_words(SolverError("no mesh")) == "no mesh"
