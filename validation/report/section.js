// Draws the section of a printed beam from its parameters, as SVG. Millimetres; y to the right, z up, as the beam is loaded.
// The plan of a layer has axes 1 and 2; a stack of layers has axis 2 across and axis 3 up.

const SVG_SPACE = "http://www.w3.org/2000/svg";

function svgElement(name, attributes, children = []) {
  const made = document.createElementNS(SVG_SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.append(...children);
  return made;
}

const short = (value) => String(Math.round(value * 1000) / 1000);

// ---- shapes -------------------------------------------------------------------------------------------------------

function ringsPath(rings) {
  return rings.map((ring) => `M${ring.map((point) => point.map(short).join(" ")).join("L")}Z`).join("");
}

function linesPath(lines) {
  return lines.map((line) => `M${line.map((point) => point.map(short).join(" ")).join("L")}`).join("");
}

// A bead's section: flat below and above, round at both ends.
function beadPath([low, high], level, section) {
  const reach = (section.fullWidth - section.width) / 2;
  const radius = Math.min(section.height / 2, (high - low) / 2 + reach);
  const [left, right] = [low - reach + radius, high + reach - radius];
  const [r, top] = [short(radius), short(level + section.height)];
  return `M${short(left)} ${short(level)}H${short(right)}A${r} ${r} 0 0 1 ${short(right)} ${top}H${short(left)}`
    + `A${r} ${r} 0 0 1 ${short(left)} ${short(level)}Z`;
}

function bounds(points) {
  const [xs, ys] = [0, 1].map((k) => points.map((point) => point[k]));
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

// ---- one layer of an upright beam from above --------------------------------------------------------------------------

function layerFromAbove(section, data, rings, clip) {
  const drawn = [];
  const path = ringsPath(rings);
  const stroke = (kind, width) => svgElement("path", { d: path, class: `walls ${kind}`, "stroke-width": short(width) });
  if (section.pattern !== null) {
    const pattern = data.patterns[section.pattern];
    if (pattern.rule === "rings") drawn.push(...nestedRings(section, path, bounds(rings.flat())));
    else {
      const layer = Math.floor(section.layers / 2);
      const box = bounds(rings.flat());
      const differs = pattern.rule === "gyroid" || section.angles.length > 1;
      if (differs) drawn.push(strips(planLines(section, pattern, box, layer + section.angles.length - 1), section, "below"));
      drawn.push(strips(planLines(section, pattern, box, layer), section, "core"));
    }
  }
  for (let wall = section.walls; wall > 0; wall -= 1) {
    drawn.push(stroke("gap", 2 * wall * section.width + 0.1 * section.width));
    drawn.push(stroke("wall", 2 * wall * section.width));
  }
  return [svgElement("g", { "clip-path": `url(#${clip})` }, drawn)];
}

function strips(lines, section, role) {
  return svgElement("path", { d: linesPath(lines), class: `line ${role}`, "stroke-width": short(section.width) });
}

// Lines that follow the outline, the innermost painted first.
function nestedRings(section, path, box) {
  const first = section.walls * section.width - section.overlap + section.phase * section.pitch;
  const depth = Math.min(box[2] - box[0], box[3] - box[1]) / 2;
  const found = [];
  for (let at = first; at < depth; at += section.pitch) {
    const ring = (kind, distance) => svgElement("path", { d: path, class: `walls ${kind}`, "stroke-width": short(2 * distance) });
    found.unshift(ring("core", at + section.width / 2), ring("void", Math.max(at - section.width / 2, 0)));
  }
  return found;
}

// ---- the cut across a flat or on-edge beam ----------------------------------------------------------------------------

function crossings(rings, height) {
  const found = [];
  for (const ring of rings) {
    ring.forEach(([ax, ay], k) => {
      const [bx, by] = ring[(k + 1) % ring.length];
      if (ay <= height !== by <= height) found.push(ax + ((bx - ax) * (height - ay)) / (by - ay));
    });
  }
  found.sort((one, other) => one - other);
  const runs = [];
  for (let i = 1; i < found.length; i += 2) runs.push([found[i - 1], found[i]]);
  return runs;
}

function cutAcross(section, data, rings) {
  const [left, low, right, high] = bounds(rings.flat());
  const step = (high - low) / section.layers;
  const whole = Array.from({ length: section.layers }, (_, j) => crossings(rings, low + (j + 0.5) * step));
  const reach = section.walls * section.width;
  const at = section.pattern === null ? 0 : section.cut;
  const box = [at - 2 * section.width, left - section.width, at + 2 * section.width, right + section.width];
  const lines = coreCuts(section, data, box);
  const beads = { wall: "", face: "", core: "" };
  whole.forEach((runs, j) => {
    const level = low + j * step;
    const between = runs.map(([a, b]) => [a + reach, b - reach]).filter(([a, b]) => b - a > 1e-3);
    const core = coveredCore(section, whole, between, j);
    for (const run of runs) for (const bead of wallBeads(section, run)) beads.wall += beadPath(bead, level, section);
    const angle = section.faceAngles[j % section.faceAngles.length];
    const raster = cut(parallels(section.width, angle, 0.5, box), section.width * 0.98, at);
    for (const bead of common(raster, without(between, core))) beads.face += beadPath(bead, level, section);
    const room = core.map(([a, b]) => [a - section.overlap, b + section.overlap]);
    for (const bead of lines(j, room)) beads.core += beadPath(bead, level, section);
  });
  return ["core", "face", "wall"].map((role) => svgElement("path", { d: beads[role], class: `bead ${role}` }));
}

// The core: where enough layers lie below and above.
function coveredCore(section, whole, between, layer) {
  if (section.pattern === null || layer < section.bottom || layer + section.top >= section.layers) return [];
  let core = between;
  for (let k = layer - section.bottom; k <= layer + section.top; k += 1) core = common(core, whole[k]);
  return core;
}

function wallBeads(section, [a, b]) {
  const w = section.width;
  const fit = Math.min(section.walls, Math.floor((b - a + 1e-3) / (2 * w)));
  const found = [];
  for (let i = 0; i < fit; i += 1) found.push([a + i * w, a + (i + 1) * w], [b - (i + 1) * w, b - i * w]);
  if (fit < section.walls && b - a - 2 * fit * w > 1e-3) found.push([a + fit * w, b - fit * w]);
  return found;
}

// A function of layer and room that gives the cut core lines.
function coreCuts(section, data, box) {
  if (section.pattern === null) return () => [];
  const pattern = data.patterns[section.pattern];
  if (pattern.rule === "rings") return (_, room) => room.flatMap((run) => ringCuts(section, run));
  const kept = new Map();
  const wide = [box[0] - section.pitch, box[1], box[2] + section.pitch, box[3]];
  return (layer, room) => {
    const period = pattern.rule === "gyroid" ? Math.max(1, Math.round(section.pitch / section.height)) : section.angles.length;
    const turn = layer % period;
    if (!kept.has(turn)) kept.set(turn, cut(planLines(section, pattern, wide, turn), section.width, section.cut));
    // Shorter than their height they are slivers cut from a bead's end.
    return common(kept.get(turn), room).filter(([a, b]) => b - a > section.height);
  };
}

function ringCuts(section, [a, b]) {
  const found = [];
  for (let at = section.phase * section.pitch; at < (b - a) / 2; at += section.pitch) {
    for (const middle of [a + at, b - at]) found.push([middle - section.width / 2, middle + section.width / 2]);
  }
  return merged(found);
}

// ---- marks --------------------------------------------------------------------------------------------------------

function loadMark(rings, degrees, size) {
  const [x0, y0, x1, y1] = bounds(rings.flat());
  const middle = [(x0 + x1) / 2, (y0 + y1) / 2];
  const away = [-Math.sin(radians(degrees)), Math.cos(radians(degrees))];
  let touch = 0;
  for (const ring of rings) {
    ring.forEach(([ax, ay], k) => {
      const [bx, by] = ring[(k + 1) % ring.length];
      const [dx, dy] = [bx - ax, by - ay];
      const det = away[0] * -dy + dx * away[1];
      if (Math.abs(det) < 1e-12) return;
      const [px, py] = [ax - middle[0], ay - middle[1]];
      const along = (px * -dy + dx * py) / det;
      const share = (away[0] * py - away[1] * px) / det;
      if (share >= -1e-9 && share <= 1 + 1e-9) touch = Math.max(touch, along);
    });
  }
  const at = (distance, aside) => [
    short(middle[0] + distance * away[0] - aside * away[1]),
    short(-(middle[1] + distance * away[1] + aside * away[0])),
  ];
  const [tip, neck, tail, side] = [touch, touch + 0.05 * size, touch + 0.12 * size, 0.02 * size];
  const head = [at(tip, 0), at(neck, side), at(neck, -side)].map((point) => point.join(" ")).join(" ");
  const [sx, sy] = at(tail, 0);
  const [ex, ey] = at(neck, 0);
  const [tx, ty] = at(touch + 0.155 * size, 0);
  return [
    svgElement("line", { x1: sx, y1: sy, x2: ex, y2: ey, class: "mark", "stroke-width": short(0.012 * size) }),
    svgElement("polygon", { points: head, class: "mark-head" }),
    textAt(tx, ty, size, "middle", "load"),
  ];
}

function textAt(x, y, size, anchor, text) {
  const attributes = { x, y, "font-size": short(0.048 * size), "text-anchor": anchor, "dominant-baseline": "middle" };
  return svgElement("text", attributes, [text]);
}

function scaleMark(x, y, size) {
  const power = 10 ** Math.floor(Math.log10(size / 5));
  const length = power * Math.max(...[1, 2, 5].filter((step) => step * power <= size / 5 + 1e-9));
  const attributes = { x1: short(x), y1: short(y), x2: short(x + length), y2: short(y), class: "mark" };
  return [
    svgElement("line", { ...attributes, "stroke-width": short(0.014 * size) }),
    textAt(short(x + length + 0.02 * size), short(y), size, "start", `${short(length)} mm`),
  ];
}

const VIEWS = {
  upright: "One layer seen from above; the layers are stacked towards you.",
  flat: "Cut across the beam; the layers are stacked upwards.",
  on_edge: "Cut across the beam; the layers are stacked from right to left.",
};

// Fills an svg element with the section and returns one line on the view.
function drawSection(svg, section, data) {
  const outline = data.outlines[section.outline];
  const [y0, z0, y1, z1] = bounds(outline.flat());
  const size = Math.max(y1 - y0, z1 - z0);
  const margin = 0.2 * size;
  const clip = `${svg.id}-outline`;
  const path = ringsPath(outline);
  const upright = section.orientation === "upright";
  const stacked = section.orientation === "on_edge" ? outline.map((ring) => ring.map(([y, z]) => [z, -y])) : outline;
  const parts = upright ? layerFromAbove(section, data, outline, clip) : cutAcross(section, data, stacked);
  const turn = section.orientation === "on_edge" ? { transform: "matrix(0 1 -1 0 0 0)" } : {};
  svg.setAttribute("viewBox", [y0 - margin, -z1 - margin, y1 - y0 + 2 * margin, z1 - z0 + 2 * margin].map(short).join(" "));
  svg.replaceChildren(
    svgElement("defs", {}, [svgElement("clipPath", { id: clip }, [svgElement("path", { d: path, "clip-rule": "evenodd" })])]),
    svgElement("g", { transform: "scale(1 -1)" }, [
      svgElement("g", turn, parts),
      svgElement("path", { d: path, class: "outline", "stroke-width": short(0.006 * size) }),
    ]),
    ...loadMark(outline, section.loadAngle, size),
    ...scaleMark(y0, -z0 + 0.1 * size, size),
    textAt(short(y1 + 0.03 * size), short(-z0 + 0.1 * size), size, "start", "y →"),
    textAt(short(y0 - 0.06 * size), short(-z1 - 0.04 * size), size, "middle", "z ↑"),
  );
  const below = svg.querySelector(".below") ? " The paler tone is the layer below." : "";
  return VIEWS[section.orientation] + below;
}
