"""The page as a file: order, offline, escaped, the same bytes, traceable; without a browser."""

import base64
import csv
import hashlib
import io
import json
import re
import time
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from validation.measured.measured import Measured
from validation.report.content import PageSection, Text, band
from validation.report.explorer import explorer_data, to_script
from validation.report.page import build_page, coded
from validation.report.tuned import judge
from validation.results.beside import Results
from validation.text.output import CAUTIONS

from .invented import invented_estimate, invented_results, invented_study

EVIL = "</title></script><script>hit()</script><img src=x onerror=hit()>{{ 7*7 }}\"'&amp;"


class Page(HTMLParser):
    """Elements with their attributes, and the text of each, in order."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.elements, self.texts, self._open = [], {}, []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        self._open.append(len(self.elements) - 1)
        if tag in ("meta", "input", "img", "br"):
            self._open.pop()

    handle_startendtag = handle_starttag

    def handle_endtag(self, tag):
        while self._open and self.elements[self._open.pop()][0] != tag:
            pass

    def handle_data(self, data):
        for place in self._open:
            self.texts[place] = self.texts.get(place, "") + data

    def all(self, tag):
        return [
            (attrs, self.texts.get(place, "").strip())
            for place, (name, attrs) in enumerate(self.elements)
            if name == tag
        ]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("report")
    study = invented_study(folder / "kite.toml")
    results, measured = invented_results(study, 2, folder / "beams.csv")
    html = build_page(study, results, measured, time.perf_counter())
    return study, results, measured, html, Page(html)


@pytest.fixture(scope="module")
def evil(tmp_path_factory):
    folder = tmp_path_factory.mktemp("evil")
    study = invented_study(folder / "kite.toml", title=EVIL, note=EVIL, vary={"core.set_fill": [0.2, 0.4]})
    results, measured = invented_results(study, 2, folder / "beams.csv", EVIL, EVIL, EVIL, EVIL)
    return build_page(study, results, measured, time.perf_counter())


def test_sections_stand_in_the_order_of_a_readers_questions(made):
    titles = [text for _, text in made[4].all("h2")]
    assert titles == [
        "Explorer",
        "Numbers",
        "Figures",
        "Every measured beam",
        "Estimate in detail: section, modes, criteria",
        "Settings of the study",
        "Method and material",
        "Words",
        "Provenance",
    ]
    links = [attrs["href"] for attrs, _ in made[4].all("a") if attrs["href"].startswith("#")]
    ids = {attrs.get("id") for _, attrs in made[4].elements}
    assert all(link[1:] in ids for link in links)


def test_page_asks_for_nothing_and_its_policy_allows_nothing_but_its_own_blocks(made):
    html, page = made[3:]
    assert not [
        attrs for tag, attrs in page.elements if tag in ("link", "img", "iframe", "object", "base", "form")
    ]
    assert not [attrs for _, attrs in page.elements if "src" in attrs or "style" in attrs]
    assert not [name for _, attrs in page.elements for name in attrs if name.startswith("on")]
    assert not re.search(r"url\((?!#)|@import", html)
    assert set(re.findall(r"https?://[^\"'\s<]+", html)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }
    (policy,) = [attrs["content"] for attrs, _ in page.all("meta") if "http-equiv" in attrs]
    (style,) = re.findall(r"<style>(.*?)</style>", html, re.DOTALL)
    (script,) = re.findall(r"<script>(.*?)</script>", html, re.DOTALL)
    hashes = [base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in (style, script)]
    assert policy.split("; ") == [
        "default-src 'none'",
        f"style-src 'sha256-{hashes[0]}'",
        f"script-src 'sha256-{hashes[1]}'",
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    ]


def test_every_criterion_stands_with_its_place_and_formula(made):
    _, results, _, _, page = made
    body = " ".join(text for _, text in page.all("table"))
    ways = [way for row in results.rows for way in row.estimate.response.ways()]
    assert len(ways) == len(results.rows) * 7  # crush is unknown in the invented study
    for what in {way.what for way in ways}:
        assert body.count(what) == len(results.rows)
    assert body.count("a rule of thumb") == len(results.rows) * 6  # shear has its own
    assert "1.5" in body
    assert "-4.0" in body


def test_what_users_write_stays_text(evil):
    page = Page(evil)
    tags = [tag for tag, _ in page.elements]
    assert tags.count("script") == 2
    assert "img" not in tags
    assert page.all("title")[0][1] == EVIL
    assert page.all("h1")[0][1] == EVIL
    assert f"{EVIL}1" in [text for _, text in page.all("th")]
    assert f"{EVIL}; {EVIL}" in [text for _, text in page.all("td")]
    assert "hit()</script>" not in evil


def test_commands_in_remarks_are_set_as_code_and_nothing_else_gets_through():
    assert str(coded("see `cell <b>` & `x`")) == "see <code>cell &lt;b&gt;</code> &amp; <code>x</code>"
    assert str(coded("a lone ` stays")) == "a lone ` stays"


def test_script_data_cannot_end_its_element():
    text = to_script({"a": "</script><!--\u2028&"})
    assert not set("<>&\u2028") & set(text)
    assert json.loads(text) == {"a": "</script><!--\u2028&"}


def test_same_inputs_give_the_same_bytes_but_for_time_and_seconds(tmp_path):
    study = invented_study(tmp_path / "kite.toml", vary={"core.set_fill": [0.2, 0.4]})
    results, measured = invented_results(study, 2, tmp_path / "beams.csv")

    def stripped():
        html = build_page(study, results, measured, time.perf_counter())
        changing = r"(<tr><th[^>]*>(?:time \(UTC\)|seconds)</th>).*?</tr>"
        assert len(re.findall(changing, html)) == 2
        return re.sub(changing, r"\1", html)

    assert stripped() == stripped()


def test_ids_are_unique_and_every_reference_meets_one(made):
    page = made[4]
    ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(ids) == len(set(ids))
    for _, attrs in page.elements:
        for name in attrs.get("aria-labelledby", "").split():
            assert name in ids


def test_tables_have_captions_and_scoped_headings(made):
    page = made[4]
    tables = [place for place, (tag, _) in enumerate(page.elements) if tag == "table"]
    assert len(page.all("caption")) == len(tables)
    assert all(attrs.get("scope") in ("col", "row") for attrs, _ in page.all("th"))
    assert all(
        attrs.get("role") == "img" and ("aria-labelledby" in attrs or "aria-label" in attrs)
        for attrs, _ in page.all("svg")
    )


def test_estimates_on_the_page_are_those_of_the_program(made):
    results, page = made[1], made[4]
    cells = [(attrs.get("data-value"), text) for attrs, text in page.all("td")]
    for found in results.estimates:
        for value in (found.stiffness, found.breaking_force, found.mass, found.print_time):
            shown = band(value)
            assert (f"{value.best:.6g}", f"{shown.text} {shown.range}") in cells


def test_csv_in_the_page_holds_the_rows(made):
    results, page = made[1], made[4]
    links = {attrs["download"]: attrs["href"] for attrs, _ in page.all("a") if "download" in attrs}
    assert list(links) == ["results.csv", "beams.csv"]
    texts = {name: base64.b64decode(link.split("base64,")[1]).decode() for name, link in links.items()}
    rows = list(csv.DictReader(io.StringIO(texts["results.csv"])))
    assert [float(row["stiffness_N_per_mm"]) for row in rows] == pytest.approx(
        [found.stiffness.best for found in results.estimates], rel=1e-6
    )
    beams = list(csv.DictReader(io.StringIO(texts["beams.csv"])))
    assert len(beams) == 2 * len(rows)
    assert [beam["valid"] for beam in beams].count("0") == 1


def test_cautions_stand_with_the_verdict_and_nothing_is_called_safe(made):
    html, page = made[3:]
    text = page.texts[0]
    assert all(line in text for line in CAUTIONS)
    assert text.index("Strongest") < text.index("Not for load-bearing") < text.index("Does it carry a load")
    assert not re.search(r"\bsafe", html, re.IGNORECASE)


def test_provenance_names_versions_hashes_and_no_folder(made):
    study, _, measured, html, page = made
    cells = dict(zip([t for _, t in page.all("th")], [None] * 10_000, strict=False))
    digests = [hashlib.sha256(path.read_bytes()).hexdigest() for path in (study.path, measured.path)]
    assert all(digest in html for digest in digests)
    assert {"SHA-256 of kite.toml", "SHA-256 of beams.csv", "command", "seconds", "numpy", "gmsh"} <= set(
        cells
    )
    assert str(study.path.parent) not in html


def test_settings_show_what_is_varied_and_every_default(made):
    texts = [text for tag in ("th", "td") for _, text in made[4].all(tag)]
    for entry in (
        "core.set_fill",
        "print.walls",
        "print.layer_height_mm",
        "core.wall_overlap_mm",
        "test.span_mm",
        "material.card",
    ):
        assert entry in texts
    assert "0.2, 0.4, 0.55" in texts
    assert "machine.speed_wall_mm_s" not in texts


def test_excluded_beams_stay_visible_with_their_reason_and_out_of_the_means(made):
    results, page = made[1], made[4]
    assert "slipped" in [text for _, text in page.all("td")]
    assert len(results.rows[0].beams) == 1
    assert len(results.beam_rows()) == 24


def test_what_the_series_show_stands_in_the_verdict_and_in_its_section_escaped(tmp_path):
    study = invented_study(tmp_path / "kite.toml", vary={"core.set_fill": [0.2, 0.4]})
    results, measured = invented_results(study, 2, tmp_path / "beams.csv")
    section = PageSection("explanation", "Explanation", (Text("a step <between> 0.8 and 1"),), folded=True)
    html = build_page(
        study, results, measured, time.perf_counter(), steps=(["Is there a jump? <No>."], section)
    )
    titles = [text for _, text in Page(html).all("h2")]
    assert titles[titles.index("Figures") + 1] == "Explanation"
    assert "a step &lt;between&gt; 0.8 and 1" in html
    assert html.index("Is there a jump? &lt;No&gt;.") < html.index("<nav")


def test_a_slip_of_unit_is_doubted_on_the_page(tmp_path):
    study = invented_study(tmp_path / "study.toml")
    results, measured = invented_results(study, 2, tmp_path / "beams.csv")
    slipped = Measured(
        measured.path, tuple(replace(beam, stiffness=beam.stiffness / 1000) for beam in measured.beams), ()
    )
    page = build_page(study, Results.of(study, results.estimates, slipped), slipped, time.perf_counter())
    assert (
        "near the 1/1000 of two units: are N/mm and N/m or kN/mm taken for each other in its column?" in page
    )
    assert "taken for each other" not in build_page(study, results, measured, time.perf_counter())


def test_one_setting_without_measurements_makes_a_page_too(tmp_path):
    study = invented_study(tmp_path / "kite.toml", vary={})
    results, measured = invented_results(study)
    page = Page(build_page(study, results, measured, time.perf_counter()))
    titles = [text for _, text in page.all("h2")]
    assert titles == [
        "Explorer",
        "Numbers",
        "Figures",
        "Estimate in detail: section, modes, criteria",
        "Settings of the study",
        "Method and material",
        "Words",
        "Provenance",
    ]


def test_explorer_places_every_setting_and_keeps_shared_shapes_once(made):
    study, results = made[:2]
    data = explorer_data(results, judge(results.rows, None))
    assert [control["label"] for control in data["controls"]] == ["pattern", "walls", "set fill"]
    assert [control["slider"] for control in data["controls"]] == [False, True, True]
    assert len({tuple(setting["at"]) for setting in data["settings"]}) == len(study.settings)
    for setting, found in zip(data["settings"], results.estimates, strict=True):
        chosen = [control["texts"][i] for control, i in zip(data["controls"], setting["at"], strict=True)]
        assert chosen == [
            found.setting.core.pattern,
            str(found.setting.printing.walls),
            f"{found.set_fill:g}",
        ]
        assert setting["numbers"]["mass"]["estimate"] == pytest.approx(
            [found.mass.low, found.mass.best, found.mass.high], rel=1e-4
        )
    assert len(data["outlines"]) == 1
    walls = {setting["section"]["parts"]["wall"] for setting in data["settings"]}
    assert len(walls) == 2


def test_results_show_themselves_in_a_notebook_and_as_rows(made):
    results = made[1]
    assert results._repr_html_().count("<tr>") == 13
    row = results.to_rows()[3]
    assert row["set_fill"] == row["core.set_fill"] == 0.2
    assert row["stiffness_low_N_per_mm"] < row["stiffness_N_per_mm"] < row["stiffness_high_N_per_mm"]
    assert row["beams"] == 2
    assert row["breaking_force_ratio"] == pytest.approx(np.mean([0.93, 0.98]))
    beam = results.beam_rows()[-1]
    assert beam["breaking_force_ratio"] == pytest.approx(0.9 + 0.05 + 0.11)


def run_command(tmp_path, monkeypatch, *options):
    from validation.cli import main

    study = tmp_path / "study.toml"
    study.write_text(
        'title = "T"\n[specimen]\nwidth_mm = 10\ndepth_mm = 8\nlength_mm = 90\n'
        '[core]\npattern = "square"\nset_fill = 0.3\n[test]\nkind = "three_point"\nspan_mm = 80\n'
        '[vary]\n"core.set_fill" = [0.2, 0.4]\n[measured]\nspecimens = "s.csv"\n'
    )
    forces = [0.8 * 100 * (1 + 0.4 * 2 + fill) for fill in (0.2, 0.4)]
    lines = [f"{fill},{force}" for fill, force in zip((0.2, 0.4), forces, strict=True)]
    (tmp_path / "s.csv").write_text("set_fill,breaking_force_N\n" + "\n".join(lines) + "\n")
    monkeypatch.setattr(
        "validation.notebook.page_file.estimate_all",
        lambda study, *_, **__: [invented_estimate(named.setting) for named in study.settings],
    )
    return main(["report", str(study), *options])


def test_command_writes_the_page_and_checks_the_error(tmp_path, monkeypatch, capsys):
    out = tmp_path / "report.html"
    # Beams at 0.8 of the estimate: a mean error of 20 %.
    assert run_command(tmp_path, monkeypatch, "-o", str(out), "--check", "0.25") == 0
    assert Page(out.read_text(encoding="utf-8")).all("h1")[0][1] == "T"
    assert capsys.readouterr().err == f"wrote {out}\n"
    assert run_command(tmp_path, monkeypatch, "-o", str(out), "--check", "0.15", "--quiet") == 1


def test_a_failed_check_tells_both_shares_apart():
    from validation.text.reconciliation import check_failed

    assert check_failed(0.11017, 0.05) == "the mean error of breaking force, 11 %, exceeds the 5 % of --check"
    assert "11.02 %, exceeds the 11 % of" in check_failed(0.11017, 0.11)
    assert check_failed(None, 0.05) == "no measured breaking force to be held against --check"


def test_command_refuses_other_endings(tmp_path, monkeypatch, capsys):
    assert run_command(tmp_path, monkeypatch, "-o", str(tmp_path / "report.pdf")) == 2
    assert capsys.readouterr().err.endswith("report.pdf: a report is written as .html or .htm\n")


def test_command_refuses_a_folder_that_is_not_there(tmp_path, monkeypatch, capsys):
    assert run_command(tmp_path, monkeypatch, "-o", str(tmp_path / "no" / "report.html")) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert "there is no folder" in err


@pytest.mark.slow
def test_sixty_settings_make_a_page_in_time_and_size(tmp_path):
    vary = {
        "core.pattern": ["square", "kagome", "hexagonal"],
        "print.walls": [1, 2, 3, 4],
        "core.set_fill": [0.2, 0.25, 0.3, 0.4, 0.5],
    }
    study = invented_study(tmp_path / "kite.toml", vary=vary)
    results, measured = invented_results(study, 3, tmp_path / "beams.csv")
    started = time.process_time()
    html = build_page(study, results, measured, time.perf_counter())
    assert time.process_time() - started < 15
    assert len(html.encode()) < 3e6


@pytest.mark.slow
def test_five_hundred_settings_make_a_page_a_mail_takes(tmp_path):
    vary = {
        "core.pattern": ["square", "triangular", "kagome", "hexagonal", "rhombic"],
        "print.walls": [1, 2, 3, 4],
        "core.set_fill": [round(0.1 + 0.02 * i, 2) for i in range(25)],
    }
    study = invented_study(tmp_path / "kite.toml", vary=vary)
    results, _ = invented_results(study)
    assert len(results.rows) == 500
    html = build_page(study, results, None, time.perf_counter())
    assert len(html.encode()) < 3e6
