"""The manual says what tests compare: noted as they run, the nearest to its limit shown, failures told."""

import numpy as np
import pytest

from tests.manual.page import grouped, page
from tests.manual.recorder import Checked, Compared, Recorder, listening

pytest_plugins = ["pytester"]


def test_comparisons_are_noted_whatever_holds_the_numbers():
    noted = []
    with listening(lambda *numbers: noted.append(Compared(*map(float, numbers)))):
        assert 1.01 == pytest.approx(1.0, abs=0.02)
        assert np.array([2.0, 3.0]) == pytest.approx(np.array([2.0, 3.1]), abs=0.4)
        assert {"EI": 5.0} == pytest.approx({"EI": 5.05}, rel=0.1)
        assert not 4.0 == pytest.approx(5.0, abs=0.5)
        np.testing.assert_allclose([1.0, 1.0], 1.1, atol=0.2, rtol=0)
    assert [one.value for one in noted] == [1.01, 2.0, 3.0, 5.0, 4.0, 1.0, 1.0]
    assert noted[0].error == pytest.approx(0.01)
    assert noted[0].share == pytest.approx(0.5)
    assert noted[4].share == pytest.approx(2.0)
    assert noted[5].share == pytest.approx(0.5)


def test_after_the_block_nothing_is_noted():
    noted = []
    with listening(lambda *numbers: noted.append(numbers)):
        pass
    assert 1.0 == pytest.approx(1.0)
    assert not noted


def test_a_run_is_told_test_by_test(pytester):
    pytester.makepyfile(
        test_beam="""
        import pytest
        @pytest.mark.parametrize("x", [1.0, 1.05])
        def test_deflection(x):
            "By hand; wrongly & <boldly>."
            assert x == pytest.approx(1.0, abs=0.1)
        def test_order():
            assert 2 > 1
        def test_wrong():
            assert 3.0 == pytest.approx(2.0, abs=0.5)
        @pytest.mark.skip(reason="no library")
        def test_other():
            assert 1 == pytest.approx(2)
        """
    )
    recorder = Recorder()
    pytester.inline_run("-p", "no:cacheprovider", plugins=[recorder])
    told = {test.name: test for test in recorder.tests.values()}
    assert (told["deflection"].passed, told["deflection"].nearest.value) == (2, 1.05)
    assert told["deflection"].nearest.share == pytest.approx(0.5)
    assert (told["wrong"].failed, told["order"].nearest) == (1, None)
    text = page(recorder.tests.values(), board="| series | error % |\n| --- | --- |\n| **mean** | 7 |")
    assert "1 failed." in text
    assert "deflection" in text
    assert "By hand; wrongly &amp; &lt;boldly&gt;." in text
    assert '<th scope="col">error %</th>' in text
    assert "<td>mean</td><td>7</td>" in text


def test_closed_forms_come_first_with_their_source():
    def checked(name: str, room: str, *leans_on: str) -> Checked:
        return Checked(name, "", "cells", room, leans_on)

    parts = grouped(
        [checked("c", "fem"), checked("b", "independent"), checked("a", "fem", "plastic_bending")]
    )
    assert [title for title, _, _ in parts] == [
        "Closed form: plastic bending",
        "Independent judge: cells",
        "Room: fem",
    ]
    assert "Timoshenko" in parts[0][1]
