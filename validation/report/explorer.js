// The explorer: choices over computed settings only. Nothing is interpolated and nothing is fetched.

function startExplorer() {
  const data = JSON.parse(document.getElementById("explorer-data").textContent);
  const byPlace = new Map(data.settings.map((setting) => [setting.at.join(), setting]));
  const place = data.settings[data.start].at.slice();
  const room = document.getElementById("explorer-controls");
  const show = () => {
    const setting = byPlace.get(place.join());
    showSetting(data, setting);
    showLoad(data, setting);
  };
  data.controls.forEach((control, number) => room.append(makeControl(control, number, place, show)));
  for (const id of ["load-N", "load-mm"]) document.getElementById(id).addEventListener("input", show);
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
  const marks = control.texts.map((text) => html("span", {}, [text]));
  return html("div", { class: "control" }, [label, value, slider, html("span", { class: "scale", "aria-hidden": "true" }, marks)]);
}

function showSetting(data, setting) {
  const parts = ["result", "numbers", "facts", "picture", "view"].map((name) => document.getElementById(`explorer-${name}`));
  const [result, numbers, facts, picture, view] = parts;
  if (!setting) {
    for (const part of parts) part.replaceChildren();
    result.textContent = "This combination was not computed.";
    return;
  }
  const told = data.quantities.map(({ name, label, unit }) => {
    const { measuredText, tunedText, estimateText, beams, tuned, estimate } = setting.numbers[name];
    if (beams) return `${label} ${measuredText[0]} ${unit} measured (${measuredText[1]})`;
    if (tuned) return `${label} ${tunedText[0]} ${unit} tuned (${tunedText[1]})`;
    return estimate ? `${label} ${estimateText[0]} ${unit} estimated (${estimateText[1]})` : `${label} not evaluated`;
  });
  result.textContent = `${setting.label}: ${told.join("; ")}; ${setting.facts[0].join(": ")}.`;
  numbers.replaceChildren(...data.quantities.map((quantity) => numberRow(setting, data, quantity)));
  facts.replaceChildren(...setting.facts.flatMap(([name, text]) => [html("dt", {}, [name]), html("dd", {}, [text])]));
  picture.setAttribute("aria-label", `Section of ${setting.label}`);
  view.textContent = `${setting.label}. ${drawSection(picture, setting.section, data)}`;
}

function numberRow(setting, data, { name, label, unit, top }) {
  const own = setting.numbers[name];
  const cell = (kind, [best, range] = ["–", ""]) => html("td", { class: kind }, [
    html("span", { class: "best" }, [best]), " ", html("span", { class: "range" }, [range]),
  ]);
  return html("tr", { "data-quantity": name }, [
    html("th", { scope: "row" }, [`${label} `, html("span", { class: "unit" }, [unit])]),
    cell("measured", own.measuredText),
    cell("tuned", own.tunedText),
    cell("estimate", own.estimateText),
    html("td", { class: "strip" }, [strip(data, own, name, top)]),
  ]);
}

// Where this setting lies among all, on a scale from zero: ticks below are all settings, the thin bar is the untuned
// estimate, the thick one the tuned mean, rings are beams.
function strip(data, own, name, top) {
  const drawing = svgElement("svg", { viewBox: "0 0 220 34", "aria-hidden": "true" });
  const at = (value) => short(4 + (212 * value) / top);
  const line = (from, to, y, kind) => svgElement("line", { x1: at(from), y1: y, x2: at(to), y2: y, class: kind });
  const text = (x, anchor, words) => svgElement("text", { x, y: 32, "text-anchor": anchor }, [words]);
  drawing.append(line(0, top, 20, "axis"), text(2, "start", "0"), text(110, "middle", short(top / 2)), text(218, "end", short(top)));
  for (const one of data.settings) {
    const { tuned, estimate } = one.numbers[name];
    const best = tuned ?? estimate;
    if (best) drawing.append(svgElement("line", { x1: at(best[1]), y1: 16, x2: at(best[1]), y2: 20, class: "tick" }));
  }
  if (own.estimate) drawing.append(line(own.estimate[0], own.estimate[2], 12, "estimate-band"));
  if (own.tuned) drawing.append(line(own.tuned[0], own.tuned[2], 7, "tuned-band"));
  const best = own.tuned ?? own.estimate;
  if (best) drawing.append(svgElement("circle", { cx: at(best[1]), cy: own.tuned ? 7 : 12, r: 3, class: "dot" }));
  for (const value of own.beams ?? []) drawing.append(svgElement("circle", { cx: at(value), cy: 7, r: 2.6, class: "ring" }));
  return drawing;
}

// ---- the load box: the same bounds and the same comparison as the command `choose` --------------------------------

function margin({ force, stiffness }, load, deflection) {
  const strong = (force ?? 0) / load;
  const stiff = deflection ? stiffness / (load / deflection) : Infinity;
  return { share: Math.min(strong, stiff), limit: strong <= stiff ? "force" : "stiffness" };
}

const entered = (id) => {
  const value = Number(document.getElementById(id).value.replace(",", "."));
  return Number.isFinite(value) && value > 0 ? value : null;
};

function showLoad(data, setting) {
  const answer = document.getElementById("load-answer");
  const others = document.getElementById("load-others");
  const [load, deflection] = [entered("load-N"), entered("load-mm")];
  answer.removeAttribute("data-meets");
  others.textContent = "";
  if (!load) {
    answer.textContent = "Type a load to see which settings carry it.";
    return;
  }
  const asked = `${load} N${deflection ? ` within ${deflection} mm` : ""}`;
  if (setting) {
    const { share, limit } = margin(setting.bounds, load, deflection);
    const bounds = setting.bounds;
    const reached = deflection ? `${bounds.forceText} and ${bounds.stiffnessText}` : bounds.forceText;
    answer.dataset.meets = share >= 1 ? "yes" : "no";
    answer.textContent = bounds.force === null
      ? `Cannot tell whether ${setting.label} carries ${asked}: no failure mode could be evaluated.`
      : `${share >= 1 ? "Yes" : "No"}: ${setting.label} ${share >= 1 ? "carries" : "does not carry"} ${asked}`
        + `${share >= 1 ? "" : `, limited by its ${limit}`}. With ${data.confidence} confidence ${data.share} reach ${reached}.`;
  }
  const able = data.settings
    .filter(({ bounds }) => margin(bounds, load, deflection).share >= 1)
    .sort((one, other) => one.bounds.mass - other.bounds.mass);
  others.textContent = able.length
    ? `${able.length} of ${data.settings.length} settings carry it; the lightest is ${able[0].label} (${able[0].bounds.massText}).`
    : `None of the ${data.settings.length} settings carries it.`;
}
