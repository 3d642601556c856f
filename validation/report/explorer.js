// The explorer: choices over computed settings only. Nothing is interpolated and nothing is fetched.

function startExplorer() {
  const source = document.getElementById("explorer-data");
  if (!source) return;
  const data = JSON.parse(source.textContent);
  const byPlace = new Map(data.settings.map((setting) => [setting.at.join(), setting]));
  const place = data.settings[0].at.slice();
  const room = document.getElementById("explorer-controls");
  const show = () => showSetting(data, byPlace.get(place.join()));
  data.controls.forEach((control, number) => room.append(makeControl(control, number, place, show)));
  document.getElementById("explorer-body").hidden = false;
  show();
}

function html(name, attributes, children = []) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.append(...children);
  return made;
}

// A slider whose steps are the computed values, or a list of words.
function makeControl(control, number, place, show) {
  const id = `explorer-${number}`;
  const label = html("label", { for: id }, [control.label]);
  if (!control.slider) {
    const options = control.texts.map((text, i) => html("option", { value: i }, [text]));
    const select = html("select", { id }, options);
    select.value = String(place[number]);
    select.addEventListener("change", () => {
      place[number] = Number(select.value);
      show();
    });
    return html("div", { class: "control" }, [label, select]);
  }
  const ends = { type: "range", min: 0, max: control.texts.length - 1, step: 1, value: place[number] };
  const slider = html("input", { id, ...ends });
  const value = html("output", { for: id });
  const tell = () => {
    value.textContent = control.texts[place[number]];
    slider.setAttribute("aria-valuetext", control.texts[place[number]]);
  };
  slider.addEventListener("input", () => {
    place[number] = Number(slider.value);
    tell();
    show();
  });
  tell();
  const scale = html("span", { class: "scale", "aria-hidden": "true" }, [control.texts.join("  ·  ")]);
  return html("div", { class: "control" }, [label, value, slider, scale]);
}

function showSetting(data, setting) {
  const result = document.getElementById("explorer-result");
  const numbers = document.getElementById("explorer-numbers");
  const facts = document.getElementById("explorer-facts");
  const picture = document.getElementById("explorer-picture");
  const view = document.getElementById("explorer-view");
  if (!setting) {
    result.textContent = "This combination was not computed.";
    for (const part of [numbers, facts, picture, view]) part.replaceChildren();
    return;
  }
  const told = data.quantities.map(({ name, label, unit }) => {
    const [best, range] = setting.texts[name];
    return setting.bands[name] ? `${label} ${best} ${unit} (${range})` : `${label} not evaluated`;
  });
  result.textContent = `${setting.label}: ${told.join("; ")}; ${setting.facts[0].join(" ")}.`;
  numbers.replaceChildren(...data.quantities.map((quantity) => numberRow(data, setting, quantity)));
  facts.replaceChildren(...setting.facts.flatMap(([name, text]) => [html("dt", {}, [name]), html("dd", {}, [text])]));
  picture.setAttribute("aria-label", `Section of ${setting.label}`);
  view.textContent = `${drawSection(picture, setting.section, data)} Drawn from the parameters; gaps too narrow for a bead are left out.`;
}

function numberRow(data, setting, { name, label, unit }) {
  const [best, range] = setting.texts[name];
  return html("tr", { "data-quantity": name }, [
    html("th", { scope: "row" }, [label]),
    html("td", { class: "best" }, [best]),
    html("td", { class: "unit" }, [unit]),
    html("td", { class: "range" }, [range]),
    html("td", { class: "strip" }, [strip(data, setting, name)]),
  ]);
}

// Where this setting lies among all: ticks are best values, the bar is the band, the dot its best value.
function strip(data, setting, name) {
  const known = data.settings.map((one) => one.bands[name]).filter((band) => band);
  const drawing = svgElement("svg", { viewBox: "0 0 204 18", "aria-hidden": "true" });
  if (!known.length) return drawing;
  const top = Math.max(...known.map((band) => band[2]));
  const at = (value) => short(2 + (200 * value) / top);
  drawing.append(svgElement("line", { x1: 2, y1: 15, x2: 202, y2: 15, class: "axis" }));
  for (const band of known) drawing.append(svgElement("line", { x1: at(band[1]), y1: 11, x2: at(band[1]), y2: 15, class: "tick" }));
  const own = setting.bands[name];
  if (own) {
    drawing.append(
      svgElement("line", { x1: at(own[0]), y1: 6, x2: at(own[2]), y2: 6, class: "band" }),
      svgElement("circle", { cx: at(own[1]), cy: 6, r: 4, class: "dot" }),
    );
  }
  return drawing;
}
