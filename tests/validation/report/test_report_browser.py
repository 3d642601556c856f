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
from validation.report.content import band
from validation.report.page import build_page

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
    path.write_text(build_page(study, results, measured, time.perf_counter()), encoding="utf-8")
    return results, path.as_uri()


@pytest.fixture
def page(browser, made):
    for kind in ("browser", "performance"):
        browser.get_log(kind)
    browser.get(made[1])
    return browser


def find(page, css):
    return page.find_elements("css selector", css)


def shown(page):
    """Quantity to [best, range] as the explorer shows them."""
    rows = find(page, "#explorer-numbers tr")
    return {
        row.get_attribute("data-quantity"): [
            row.find_element("css selector", css).text for css in (".best", ".range")
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
        told = page.find_element("id", "explorer-result").text
        assert f"stiffness {cells['stiffness'].text} N/mm ({cells['stiffness'].range})" in told
        assert "governing mode face tension" in told


def test_slider_tells_its_value_in_words_and_stops_at_computed_settings_only(page):
    slider = page.find_element("id", "explorer-2")
    assert [slider.get_attribute(name) for name in ("min", "max", "step")] == ["0", "2", "1"]
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


def beads_of(page, role):
    """Intervals across of the beads of a role, from the path that the page drew."""
    path = find(page, f"#explorer-picture path.bead.{role}")[0].get_attribute("d")
    number = r"(-?[\d.]+)"
    return [
        (float(left), float(right), float(level))
        for left, level, right in re.findall(rf"M{number} {number}H{number}A", path)
    ]


@pytest.mark.parametrize("place", [0, 1])
def test_flat_section_drawn_from_parameters_meets_the_traced_beads(page, made, place):
    """The picture is drawn in the page by its own code; `patterns.paths.section_beads` cuts the traced paths."""
    choose(page, 0, place)
    choose(page, 1, 1)
    choose(page, 2, 1)
    found = made[0].estimates[[0, 6][place] + 4]
    beads = section_beads(found.layout)
    for role in ("wall", "face", "core"):
        traced = shapely.union_all([shape.envelope for shape in getattr(beads, role)])
        height, radius = 0.25, 0.125
        drawn = shapely.union_all(
            [
                shapely.box(left - radius, level, right + radius, level + height)
                for left, right, level in beads_of(page, role)
            ]
        )
        # Cut ends of lines at the walls are square in the picture and slanted when traced: judged a bead inside.
        inside = found.layout.area(role).buffer(-0.5 if role == "core" else 0.0)
        drawn, traced = drawn.intersection(inside), traced.intersection(inside)
        assert traced.area > 0.2 * inside.area
        assert drawn.symmetric_difference(traced).area < 0.03 * traced.area


def test_upright_section_drawn_from_parameters_meets_the_traced_lines(browser, tmp_path):
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
        core = layout.area("core")
        d = find(browser, "#explorer-picture path.line.core")[0].get_attribute("d")
        pieces = [
            shapely.LineString([tuple(map(float, point.split())) for point in piece.split("L")])
            for piece in d.split("M")[1:]
        ]
        drawn = shapely.union_all(shapely.buffer(pieces, 0.25)).intersection(core)
        turn = layout.layers // 2 % layout.infill.layers_per_period
        lines = layout.infill.lines(layout.traced_core, turn)
        traced = shapely.union_all(shapely.buffer(np.array(lines, dtype=object), 0.25)).intersection(core)
        assert traced.area > 0.1 * core.area
        assert drawn.symmetric_difference(traced).area < 0.03 * traced.area


def column(page, table, place):
    script = """const body = document.querySelectorAll('table.data')[arguments[0]].tBodies[0];
    return [...body.rows].map((row) => row.cells[arguments[1]].dataset.value)"""
    return page.execute_script(script, table, place)


def table_of(page, caption):
    captions = [element.text for element in find(page, "table.data caption")]
    return next(place for place, text in enumerate(captions) if text.startswith(caption))


def test_tables_sort_by_number_and_by_word_both_ways(page):
    place = table_of(page, "Estimates")
    table = find(page, "table.data")[place]
    heading = next(
        th for th in table.find_elements("css selector", "thead th") if th.text.startswith("stiffness")
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
        """const all = [...document.querySelectorAll('a[href], button, input, select, [tabindex="0"]')];
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


def test_text_stands_out_from_its_ground(page):
    # WCAG 2.1, success criterion 1.4.3: at least 4.5 : 1 for text of normal size.
    found = page.execute_script(CONTRAST)
    assert len(found) > 300
    assert min(found)[0] >= 4.5, min(found)


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
    assert button.get_attribute("aria-label") == "Copy table: Varied"
    button.click()
    status = button.parent.find_elements("css selector", ".tools [role=status]")[0]
    for _ in range(50):
        if status.text:
            break
        time.sleep(0.02)
    assert status.text in ("Copied.", "Selected; copy it with your keyboard.")
    if status.text.startswith("Selected"):
        assert "core.set_fill" in page.execute_script("return getSelection().toString()")


def test_csv_of_the_page_is_offered_as_a_file(page, made):
    from validation.results.csv_table import to_csv

    link = find(page, "a[download]")[0]
    assert link.get_attribute("download") == "results.csv"
    text = page.execute_script("return atob(arguments[0].href.split('base64,')[1])", link)
    assert text.encode("latin-1").decode() == to_csv(made[0].to_rows())


@pytest.mark.parametrize("width", [380, 900])
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
            """const parts = [...document.querySelectorAll('nav, #explorer, .tools, .download')];
            return parts.filter((part) => part.checkVisibility()).length"""
        )
        assert hidden == 0
        assert all(table.is_displayed() for table in find(page, "table.data"))
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
    assert pdf.startswith(b"%PDF")
    assert len(pdf) > 50_000


def test_picture_carries_the_pages_role_colours(page):
    from validation.report.style import ROLE_LOOKS

    for role, (color, _) in ROLE_LOOKS.items():
        fill = page.execute_script(
            "return getComputedStyle(document.querySelector(`#explorer-picture .bead.${arguments[0]}`)).fill",
            role,
        )
        assert fill == f"rgb({', '.join(str(int(color[i : i + 2], 16)) for i in (1, 3, 5))})"
