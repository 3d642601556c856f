// Draws the section of a printed beam from the beads that the program cut, as SVG. Millimetres; y to the right, z up,
// as the beam is loaded. A stack of layers has axis 2 across and axis 3 up.

const SVG_SPACE = "http://www.w3.org/2000/svg";

function svgElement(name, attributes, children = []) {
  const made = document.createElementNS(SVG_SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.append(...children);
  return made;
}

const short = (value) => String(Math.round(value * 1000) / 1000);

function pairs(flat) {
  return Array.from({ length: flat.length / 2 }, (_, k) => [flat[2 * k], flat[2 * k + 1]]);
}

const linePath = (flat) => `M${pairs(flat).map((point) => point.map(short).join(" ")).join("L")}`;
const ringsPath = (rings) => rings.map((ring) => `${linePath(ring)}Z`).join("");

// Every bead of a cut is a short thick line with round ends, repeated on the levels of its layers.
function beadsPath(part, { height, reach }) {
  const inset = height / 2 - reach;
  return part.map(([runs, levels]) => levels.map((level) => pairs(runs)
    .map(([a, b]) => `M${short(a + inset)} ${short(level + height / 2)}H${short(Math.max(b - inset, a + inset))}`)
    .join("")).join("")).join("");
}

function drawParts(section, data) {
  const upright = section.view === "upright";
  return Object.entries(section.parts).map(([role, place]) => {
    const part = data.parts[place];
    const d = upright ? part.map(linePath).join("") : beadsPath(part, section);
    return svgElement("path", { d, class: `bead ${role}`, "stroke-width": short(0.92 * (upright ? section.width : section.height)) });
  });
}

function loadMark([y, z, ay, az], size) {
  const at = (along, aside) => [short(y + along * ay - aside * az), short(-(z + along * az + aside * ay))];
  const head = [at(0, 0), at(0.05 * size, 0.02 * size), at(0.05 * size, -0.02 * size)].map((point) => point.join(" "));
  const [sx, sy] = at(0.12 * size, 0);
  const [ex, ey] = at(0.05 * size, 0);
  const [tx, ty] = at(0.155 * size, 0);
  return [
    svgElement("line", { x1: sx, y1: sy, x2: ex, y2: ey, class: "mark", "stroke-width": short(0.012 * size) }),
    svgElement("polygon", { points: head.join(" "), class: "mark-head" }),
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
  const ends = { x1: short(x), y1: short(y), x2: short(x + length), y2: short(y), class: "mark" };
  return [
    svgElement("line", { ...ends, "stroke-width": short(0.014 * size) }),
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
  const points = outline.flatMap(pairs);
  const [ys, zs] = [0, 1].map((k) => points.map((point) => point[k]));
  const [y0, z0, y1, z1] = [Math.min(...ys), Math.min(...zs), Math.max(...ys), Math.max(...zs)];
  const size = Math.max(y1 - y0, z1 - z0);
  const margin = 0.2 * size;
  const turn = section.view === "on_edge" ? { transform: "matrix(0 1 -1 0 0 0)" } : {};
  svg.setAttribute("viewBox", [y0 - margin, -z1 - margin, y1 - y0 + 2 * margin, z1 - z0 + 2 * margin].map(short).join(" "));
  svg.replaceChildren(
    svgElement("g", { transform: "scale(1 -1)" }, [
      svgElement("g", turn, drawParts(section, data)),
      svgElement("path", { d: ringsPath(section.gaps), class: "narrow" }),
      svgElement("path", { d: ringsPath(outline), class: "outline", "stroke-width": short(0.006 * size) }),
    ]),
    ...loadMark(section.touch, size),
    ...scaleMark(y0, -z0 + 0.1 * size, size),
    textAt(short(y1 + 0.03 * size), short(-z0 + 0.1 * size), size, "start", "y →"),
    textAt(short(y0 - 0.06 * size), short(-z1 - 0.04 * size), size, "middle", "z ↑"),
  );
  const below = "below" in section.parts ? " The paler tone is the layer below." : "";
  const gaps = section.gaps.length ? " Outlined: gaps too narrow for a bead." : "";
  return VIEWS[section.view] + below + gaps;
}
