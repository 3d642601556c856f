"""The page in a real browser without a screen: what it does, asks for, shows, and whether everybody can use it."""

import base64
import itertools
import json
import re
import shutil
import time

import numpy as np
import pytest
import shapely

from patterns.paths.section_beads import section_beads
from validation.design.choose import Demand, Judge
from validation.report.content import band
from validation.report.page import build_page
from validation.report.standing import FORCE, FORCE_PER_GRAM, STIFFNESS, standings
from validation.report.tuned import judge, tune
from validation.text.numbers import significant

from .invented import invented_results, invented_study

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
DRIVER = shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(
    not (CHROMIUM and DRIVER), reason="chromium or chromedriver is not installed: the page cannot be opened"
)

EVIL = "</title></script><script>window.hit = 1</script><img src=x onerror='window.hit = 1'><svg onload=window.hit=1>"
QUANTITIES = ("stiffness", "breaking_force", "mass", "print_time")
SLIDER_KEYS = {
    "left": "\ue012",
    "right": "\ue014",
    "home": "\ue011",
    "tab": "\ue004",
    "enter": "\ue007",
    "down": "\ue015",
}


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    selenium = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    from selenium.webdriver.chrome.service import Service

    options = selenium.ChromeOptions()
    options.binary_location = CHROMIUM
    for flag in (
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--window-size=1280,1600",
        f"--user-data-dir={tmp_path_factory.mktemp('browser')}",
    ):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = selenium.Chrome(options=options, service=Service(DRIVER))
    yield driver
    driver.quit()


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("page")
    study = invented_study(folder / "kite.toml")
    results, measured = invented_results(study, 2, folder / "beams.csv")
    path = folder / "report.html"
    calibrated = tune(study, results.rows)
    html = build_page(study, results, measured, time.perf_counter(), calibrated)
    path.write_text(html, encoding="utf-8")
    return results, path.as_uri(), calibrated


@pytest.fixture
def page(browser, made):
    for kind in ("browser", "performance"):
        browser.get_log(kind)
    browser.get(made[1])
    return browser


def find(page, css):
    return page.find_elements("css selector", css)


def shown(page, kind="estimate"):
    """Quantity to [best, range] as the explorer shows them."""
    rows = find(page, "#explorer-numbers tr")
    return {
        row.get_attribute("data-quantity"): [
            row.find_element("css selector", f".{kind} {css}").text for css in (".best", ".range")
        ]
        for row in rows
    }


def choose(page, number, place):
    """Set a control of the explorer as a person would: a list by its option, a slider by its arrow keys."""
    from selenium.webdriver.support.ui import Select

    control = page.find_element("id", f"explorer-{number}")
    if control.tag_name == "select":
        Select(control).select_by_index(place)
    else:
        control.send_keys(SLIDER_KEYS["home"] + SLIDER_KEYS["right"] * place)


def test_no_console_error_and_no_request_but_the_file_itself(page):
    assert page.get_log("browser") == []
    assert page.execute_script("return performance.getEntriesByType('resource').length") == 0
    messages = [json.loads(entry["message"])["message"] for entry in page.get_log("performance")]
    asked = [m["params"]["request"]["url"] for m in messages if m["method"] == "Network.requestWillBeSent"]
    assert asked
    assert all(url.startswith("file:///") and url.endswith("/report.html") for url in asked)


def test_every_choice_shows_what_the_program_computed(page, made):
    results = made[0]
    patterns, walls, fills = ["square", "kagome"], [1, 3], [0.2, 0.4, 0.55]
    for found in results.estimates:
        setting = found.setting
        choose(page, 0, patterns.index(setting.core.pattern))
        choose(page, 1, walls.index(setting.printing.walls))
        choose(page, 2, fills.index(setting.core.set_fill))
        cells = {name: band(getattr(found, name)) for name in QUANTITIES}
        assert shown(page) == {name: [cell.text, cell.range] for name, cell in cells.items()}
        row = next(row for row in results.rows if row.estimate is found)
        assert shown(page, "measured")["breaking_force"] == [
            significant(row.force.mean),
            f"n = {row.force.n}",
        ]
        told = page.find_element("id", "explorer-result").get_property("textContent")
        assert f"stiffness {significant(row.stiffness.mean)} N/mm measured (n = {row.stiffness.n})" in told
        assert "what breaks: face tension" in told


def test_explorer_shows_the_tuned_means_with_their_intervals(page, made):
    results, _, calibrated = made
    place = 1
    choose(page, 0, 0)
    choose(page, 1, 0)
    choose(page, 2, place)
    told = judge(results.rows, calibrated)[place].told["breaking_force"].mean
    assert shown(page, "tuned")["breaking_force"] == [
        significant(told.best),
        f"{significant(told.low)}–{significant(told.high)}",
    ]


def test_verdict_equals_the_computed_values(page, made):
    results, _, calibrated = made
    judged = judge(results.rows, calibrated)
    findings = find(page, ".finding")
    assert len(findings) == 3
    for finding, quantity, unit in zip(
        findings, (FORCE, STIFFNESS, FORCE_PER_GRAM), ("N", "N/mm", "N/g"), strict=True
    ):
        # By hand: the largest measured mean, of which the row holds the beams.
        means = {
            FORCE: lambda row: np.mean([beam.breaking_force for beam in row.beams]),
            STIFFNESS: lambda row: np.mean([beam.stiffness for beam in row.beams]),
            FORCE_PER_GRAM: lambda row: (
                np.mean([beam.breaking_force for beam in row.beams])
                / np.mean([beam.mass for beam in row.beams])
            ),
        }[quantity]
        best = max(results.rows, key=means)
        assert finding.find_element("tag name", "strong").text == f"{significant(means(best))} {unit}"
        assert best.named.label.replace("_", " ") in finding.text
        first, *others = standings(results.rows, judged, quantity)
        ties = [one for one in others if not first.ahead_of(one)]
        assert ("tie" in finding.text.lower()) == bool(ties)


def test_load_box_says_of_every_setting_what_choose_says(page, made):
    results, _, calibrated = made
    load, deflection = page.find_element("id", "load-N"), page.find_element("id", "load-mm")
    answers = set()
    for asked, allowed in ((120.0, None), (190.0, None), (190.0, 1.0), (1e6, None)):
        for box, value in ((load, asked), (deflection, allowed)):
            box.clear()
            if value is not None:
                box.send_keys(f"{value:g}")
        judge_one = Judge(Demand(asked, allowed, 0.95), None, calibrated)
        choices = [judge_one(row.named, row.estimate) for row in results.rows]
        for place, choice in enumerate(choices):
            for control, at in enumerate((place // 6, place // 3 % 2, place % 3)):
                choose(page, control, at)
            said = page.find_element("id", "load-answer")
            assert said.get_attribute("data-meets") == ("yes" if choice.meets else "no")
            assert choice.named.label.replace("_", " ") in said.text
            answers.add(choice.meets)
        able = [choice for choice in choices if choice.meets]
        others = page.find_element("id", "load-others").text
        if able:
            lightest = min(able, key=lambda choice: choice.mass)
            assert f"lightest is {lightest.named.label.replace('_', ' ')} (" in others
        else:
            assert others == f"None of the {len(choices)} settings carries it."
    assert answers == {True, False}


def test_what_is_no_load_asks_for_one(page):
    load = page.find_element("id", "load-N")
    for text in ("-5", "abc", "0"):
        load.clear()
        load.send_keys(text)
        assert page.find_element("id", "load-answer").text.startswith("Type a load")


def test_accessibility_tree_gives_the_verdict_in_its_first_lines(page):
    nodes = {
        node["nodeId"]: node for node in page.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    }
    told = []

    def walk(node):
        role = node.get("role", {}).get("value")
        if not node.get("ignored") and role not in ("none", "generic", "InlineTextBox"):
            told.append(node.get("name", {}).get("value", ""))
        for child in node.get("childIds", ()):
            if child in nodes:
                walk(nodes[child])

    walk(next(node for node in nodes.values() if node["role"]["value"] == "RootWebArea"))
    strongest = find(page, ".finding .question")[0].text
    assert strongest.startswith("Strongest: ")
    assert strongest in told[:15]
    assert find(page, ".finding strong")[0].text in told[:15]


def test_slider_tells_its_value_in_words_and_stops_at_computed_settings_only(page):
    slider = page.find_element("id", "explorer-2")
    assert [slider.get_attribute(name) for name in ("min", "max", "step")] == ["0", "2", "1"]
    slider.send_keys(SLIDER_KEYS["home"])
    values = []
    for _ in range(4):
        values.append(slider.get_attribute("aria-valuetext"))
        slider.send_keys(SLIDER_KEYS["right"])
    assert values == ["0.2", "0.4", "0.55", "0.55"]
    assert find(page, "#explorer-controls output")[1].text == "0.55"


def test_result_of_the_explorer_is_a_polite_live_region(page):
    result = page.find_element("id", "explorer-result")
    assert result.get_attribute("aria-live") == "polite"
    assert result.get_attribute("role") == "status"


def drawn_beads(page, role):
    """Beads of a role as shapes, from the path that the page drew: lines as thick as they are shown."""
    path = find(page, f"#explorer-picture path.bead.{role}")[0]
    half = float(path.get_attribute("stroke-width")) / 0.92 / 2
    number = r"(-?[\d.]+)"
    return shapely.union_all(
        [
            shapely.LineString([(float(left), float(level)), (float(right), float(level))]).buffer(half)
            for left, level, right in re.findall(rf"M{number} {number}H{number}", path.get_attribute("d"))
        ]
    )


@pytest.mark.parametrize("place", [0, 1])
def test_flat_section_on_the_page_is_the_printed_one(page, made, place):
    choose(page, 0, place)
    choose(page, 1, 1)
    choose(page, 2, 1)
    found = made[0].estimates[[0, 6][place] + 4]
    beads = section_beads(found.layout)
    for role in ("wall", "face", "core"):
        traced, drawn = shapely.union_all(getattr(beads, role)), drawn_beads(page, role)
        assert traced.area > 1
        assert drawn.symmetric_difference(traced).area < 0.05 * traced.area


def test_upright_section_on_the_page_is_the_printed_layer(browser, tmp_path):
    patterns = ["square", "hexagonal", "kagome", "sinusoidal", "alternating", "gyroid", "voronoi"]
    printing = {"orientation": "upright", "bead_width_mm": 0.5, "layer_height_mm": 0.25}
    study = invented_study(tmp_path / "kite.toml", print=printing, vary={"core.pattern": patterns})
    results, _ = invented_results(study)
    path = tmp_path / "report.html"
    path.write_text(build_page(study, results, None, time.perf_counter()), encoding="utf-8")
    browser.get(path.as_uri())
    for place, found in enumerate(results.estimates):
        choose(browser, 0, place)
        layout = found.layout
        d = find(browser, "#explorer-picture path.bead.core")[0].get_attribute("d")
        pieces = [
            shapely.LineString([tuple(map(float, point.split())) for point in piece.split("L")])
            for piece in d.split("M")[1:]
        ]
        drawn = shapely.union_all(shapely.buffer(pieces, 0.25))
        turn = layout.layers // 2 % layout.infill.layers_per_period
        lines = layout.infill.lines(layout.traced_core, turn)
        traced = shapely.union_all(shapely.buffer(np.array(lines, dtype=object), 0.25))
        core = layout.area("core")
        drawn, traced = drawn.intersection(core), traced.intersection(core)
        assert traced.area > 0.1 * core.area
        assert drawn.symmetric_difference(traced).area < 0.03 * traced.area


def column(page, table, place):
    script = """const body = document.querySelectorAll('table.data')[arguments[0]].tBodies[0];
    return [...body.rows].map((row) => row.cells[arguments[1]].dataset.value)"""
    return page.execute_script(script, table, place)


def unfold(page):
    page.execute_script("for (const part of document.querySelectorAll('details')) part.open = true")


def table_of(page, caption):
    unfold(page)
    captions = [element.text for element in find(page, "table.data caption")]
    return next(place for place, text in enumerate(captions) if text.startswith(caption))


def test_tables_sort_by_number_and_by_word_both_ways(page):
    place = table_of(page, "Stiffness, mass")
    table = find(page, "table.data")[place]
    heading = next(
        th for th in table.find_elements("css selector", "thead th") if th.text.startswith("estimate")
    )
    before = column(page, place, 3)
    heading.find_element("tag name", "button").send_keys(SLIDER_KEYS["enter"])
    assert heading.get_attribute("aria-sort") == "ascending"
    assert column(page, place, 3) == sorted(before, key=float)
    heading.find_element("tag name", "button").send_keys(SLIDER_KEYS["enter"])
    assert heading.get_attribute("aria-sort") == "descending"
    assert column(page, place, 3) == sorted(before, key=float, reverse=True)
    first = table.find_elements("css selector", "thead th")[0]
    first.find_element("tag name", "button").click()
    assert [th.get_attribute("aria-sort") for th in (first, heading)] == ["ascending", "none"]
    names = column(page, place, 0)
    assert names == sorted(names)


def test_cells_without_a_value_stay_last(page):
    place = table_of(page, "Measured beams")
    button = find(page, "table.data")[place].find_elements("css selector", "thead button")[9]
    for _ in range(2):
        button.click()
        values = column(page, place, 9)
        assert values[-1] in ("", None) or "slipped" in values


def test_keyboard_reaches_every_control(page):
    page.execute_script("window.scrollTo(0, 0); document.activeElement.blur()")
    wanted = page.execute_script(
        """const all = [...document.querySelectorAll('summary, a[href], button, input, select, [tabindex="0"]')];
        all.forEach((element, i) => { element.dataset.place = i; });
        return all.filter((element) => element.checkVisibility()).length"""
    )
    body = page.find_element("tag name", "body")
    body.send_keys(SLIDER_KEYS["tab"])
    reached = []
    for _ in range(wanted + 5):
        place = page.execute_script("return document.activeElement.dataset.place ?? null")
        if place is None or place in reached:
            break
        reached.append(place)
        page.switch_to.active_element.send_keys(SLIDER_KEYS["tab"])
    assert len(reached) == wanted
    assert [int(place) for place in reached] == sorted(map(int, reached))


def test_everything_that_takes_focus_or_shows_a_picture_has_a_name(page):
    """The judge is the browser's own accessibility tree."""
    nodes = page.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    roles = {"link", "button", "slider", "combobox", "region", "img", "image", "table", "navigation"}
    seen = set()
    for node in nodes:
        role = node.get("role", {}).get("value")
        if node.get("ignored") or role not in roles:
            continue
        seen.add(role)
        assert node.get("name", {}).get("value", "").strip(), node
    assert {"link", "button", "slider", "combobox", "region", "table", "navigation"} <= seen
    assert {"img", "image"} & seen


CONTRAST = """
const channel = (v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
const parse = (text) => (text.match(/[\\d.]+/g) || []).map(Number);
const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
const ground = (element) => {
  for (let at = element; at; at = at.parentElement) {
    const colour = parse(getComputedStyle(at).backgroundColor);
    if (colour.length === 3 || colour[3] === 1) return colour;
  }
  return [255, 255, 255];
};
const found = [];
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {
  const element = walker.currentNode.parentElement;
  const svg = element.namespaceURI.endsWith('svg');
  if (/SCRIPT|STYLE|title|desc/.test(element.tagName)) continue;
  if (!walker.currentNode.data.trim() || !element.checkVisibility()) continue;
  const style = getComputedStyle(element);
  const [a, b] = [light(parse(svg ? style.fill : style.color)), light(ground(element))].sort((x, y) => y - x);
  found.push([(a + 0.05) / (b + 0.05), element.tagName, walker.currentNode.data.trim().slice(0, 30)]);
}
return found
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_from_its_ground(page, scheme):
    # WCAG 2.1, success criterion 1.4.3: at least 4.5 : 1 for text of normal size.
    page.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    )
    unfold(page)
    try:
        found = page.execute_script(CONTRAST)
    finally:
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert len(found) > 300
    assert min(found)[0] >= 4.5, min(found)


def test_figures_are_inked_for_the_dark(page):
    page.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": "dark"}]}
    )
    try:
        colours = page.execute_script(
            """const looks = (css, name) => [...document.querySelectorAll(css)].map((part) =>
              getComputedStyle(part)[name]);
            return [looks('figure [fill="#222222"]', 'fill'), looks('figure [stroke="#222222"]', 'stroke')]"""
        )
    finally:
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert all(colours)
    assert {colour for kind in colours for colour in kind} == {"rgb(226, 230, 227)"}


def test_headings_step_down_without_a_gap_and_the_page_has_one_main_part(page):
    levels = [int(element.tag_name[1]) for element in find(page, "h1, h2, h3, h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels))
    assert len(find(page, "main")) == 1
    assert find(page, "html")[0].get_attribute("lang") == "en"


def test_what_users_write_runs_nowhere_and_is_shown(browser, tmp_path):
    study = invented_study(tmp_path / "kite.toml", title=EVIL, note=EVIL, vary={"core.set_fill": [0.2, 0.4]})
    results, measured = invented_results(study, 2, tmp_path / "beams.csv", EVIL, EVIL, EVIL, EVIL)
    path = tmp_path / "report.html"
    path.write_text(build_page(study, results, measured, time.perf_counter()), encoding="utf-8")
    browser.get_log("browser")
    browser.get(path.as_uri())
    assert browser.get_log("browser") == []
    assert browser.execute_script("return window.hit") is None
    assert browser.title == EVIL
    assert find(browser, "h1")[0].text == EVIL
    assert find(browser, ".note")[0].text == EVIL
    assert EVIL in find(browser, "table.data")[table_of(browser, "Measured beams")].text
    assert not find(browser, "img")


def test_policy_stops_a_script_that_gets_into_the_page_all_the_same(page):
    page.execute_script(
        """const made = document.createElement('div');
        made.innerHTML = '<img src="https://example.org/x.png" onerror="window.hit = 1">';
        document.body.append(made);
        const script = document.createElement('script');
        script.textContent = 'window.hit = 1';
        document.body.append(script);"""
    )
    assert page.execute_script("return window.hit") is None
    told = [entry["message"] for entry in page.get_log("browser")]
    assert any("Content Security Policy" in text for text in told)


def test_a_table_can_be_copied_or_is_selected_for_it(page):
    button = find(page, "button.copy")[0]
    assert button.get_attribute("aria-label") == "Copy table: Breaking force"
    button.click()
    status = button.parent.find_elements("css selector", ".tools [role=status]")[0]
    for _ in range(50):
        if status.text:
            break
        time.sleep(0.02)
    assert status.text in ("Copied.", "Selected; copy it with your keyboard.")
    if status.text.startswith("Selected"):
        assert "set fill 0.2" in page.execute_script("return getSelection().toString()")


def test_csv_of_the_page_is_offered_as_a_file(page, made):
    from validation.results.csv_table import read_rows

    link = find(page, "a[download]")[0]
    assert link.get_attribute("download") == "results.csv"
    text = page.execute_script("return atob(arguments[0].href.split('base64,')[1])", link)
    rows = read_rows(text.encode("latin-1").decode())
    judged = judge(made[0].rows, made[2])
    assert [row["bound_breaking_force_N"] for row in rows] == pytest.approx(
        [choice.force for choice in judged], rel=1e-5
    )
    assert [row["setting"] for row in rows] == [choice.named.label for choice in judged]


@pytest.mark.parametrize("width", [380, 420, 800, 1600])
def test_narrow_windows_scroll_tables_not_the_page(page, width):
    size = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    page.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    try:
        assert page.execute_script("return document.documentElement.scrollWidth") <= width
    finally:
        page.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_print_hides_controls_keeps_tables_within_the_sheet_and_lets_headings_repeat(page):
    # A4 less the page's own margins of 13 mm is 184 mm, 695 px of 1/96 inch.
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    size = {"width": 695, "height": 1000, "deviceScaleFactor": 1, "mobile": False}
    page.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    try:
        hidden = page.execute_script(
            """const parts = [...document.querySelectorAll('nav, .choices, .tools, .download')];
            return parts.filter((part) => part.checkVisibility()).length"""
        )
        assert hidden == 0
        assert find(page, "section > .wide > table.data")
        assert all(table.is_displayed() for table in find(page, "section > .wide > table.data"))
        assert not [part for part in find(page, "details:not([open])") if part.is_displayed()]
        widest = page.execute_script(
            """const parts = [...document.querySelectorAll('table, svg')];
            return Math.max(...parts.map((part) => part.getBoundingClientRect().right))"""
        )
        assert widest <= 695
        # Chromium repeats a table's head on every sheet only if it is a header group without boxes of its own inside.
        head, button = page.execute_script(
            """const style = (css) => getComputedStyle(document.querySelector(css)).display;
            return [style('thead'), style('thead button')]"""
        )
        assert (head, button) == ("table-header-group", "contents")
    finally:
        page.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    pdf = base64.b64decode(page.execute_cdp_cmd("Page.printToPDF", {"printBackground": True})["data"])
    assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) <= 6


def test_picture_carries_the_pages_role_colours(page):
    from validation.report.style import ROLE_LOOKS

    for role, (color, _) in ROLE_LOOKS.items():
        fill = page.execute_script(
            "return getComputedStyle(document.querySelector(`#explorer-picture .bead.${arguments[0]}`)).stroke",
            role,
        )
        assert fill == f"rgb({', '.join(str(int(color[i : i + 2], 16)) for i in (1, 3, 5))})"
