// Lines of a pattern in the plan of a layer, and where a cut meets them. Millimetres; axes 1 and 2 of the layer.

const radians = (degrees) => (degrees * Math.PI) / 180;

function turned([x, y], degrees, scale) {
  const c = Math.cos(radians(degrees));
  const s = Math.sin(radians(degrees));
  return [scale * (c * x - s * y), scale * (s * x + c * y)];
}

// Repeats strokes given at pitch 1 over a box [x0, y0, x1, y1].
function repeated(strokes, lattice, pitch, degrees, phase, box) {
  const [a, b] = lattice.map((vector) => turned(vector, degrees, pitch));
  const shift = [phase * (a[0] + b[0]), phase * (a[1] + b[1])];
  const det = a[0] * b[1] - a[1] * b[0];
  const place = ([x, y]) => [(x * b[1] - y * b[0]) / det, (y * a[0] - x * a[1]) / det];
  const corners = [[box[0], box[1]], [box[2], box[1]], [box[2], box[3]], [box[0], box[3]]].map(place);
  const found = [];
  for (const stroke of strokes) {
    const points = stroke.map((point) => turned(point, degrees, pitch)).map(([x, y]) => [x + shift[0], y + shift[1]]);
    const own = points.map(place);
    const range = [0, 1].map((k) => {
      const reach = corners.map((corner) => corner[k]);
      const extent = own.map((point) => point[k]);
      return [Math.ceil(Math.min(...reach) - Math.max(...extent)), Math.floor(Math.max(...reach) - Math.min(...extent))];
    });
    for (let i = range[0][0]; i <= range[0][1]; i += 1) {
      for (let j = range[1][0]; j <= range[1][1]; j += 1) {
        found.push(points.map(([x, y]) => [x + i * a[0] + j * b[0], y + i * a[1] + j * b[1]]));
      }
    }
  }
  return found;
}

// Parallel lines through a box; at phase 0 one passes the origin.
function parallels(pitch, degrees, phase, box) {
  const direction = [Math.cos(radians(degrees)), Math.sin(radians(degrees))];
  const reach = Math.max(...box.map(Math.abs)) * 1.5 + pitch;
  const count = Math.ceil(reach / pitch) + 1;
  const found = [];
  for (let k = -count; k <= count; k += 1) {
    const d = (k + phase) * pitch;
    const foot = [-d * direction[1], d * direction[0]];
    found.push([-reach, reach].map((s) => [foot[0] + s * direction[0], foot[1] + s * direction[1]]));
  }
  return found;
}

// The curves sin X cos Y + sin Y cos Z + sin Z cos X = 0 at one height, as strokes of one period of length 1.
function gyroidStrokes(height) {
  const s = Math.sin(2 * Math.PI * height);
  const c = Math.cos(2 * Math.PI * height);
  const alongFirst = s * s <= 0.5;
  const waves = [[], []];
  let last = null;
  for (let step = 0; step <= 48; step += 1) {
    const run = (2 * Math.PI * step) / 48;
    const [a, b, d] = alongFirst
      ? [Math.sin(run), c, -s * Math.cos(run)]
      : [s, Math.cos(run), -c * Math.sin(run)];
    let middle = Math.atan2(b, a);
    while (last !== null && middle - last > Math.PI) middle -= 2 * Math.PI;
    while (last !== null && middle - last < -Math.PI) middle += 2 * Math.PI;
    last = middle;
    const half = Math.acos(Math.max(-1, Math.min(1, d / Math.hypot(a, b))));
    [middle - half, middle + half].forEach((across, wave) => {
      const point = alongFirst ? [run, across] : [across, run];
      waves[wave].push(point.map((value) => value / (2 * Math.PI)));
    });
  }
  return waves;
}

function planLines(section, pattern, box, layer) {
  const { pitch, phase, angles } = section;
  if (pattern.rule === "layers") return parallels(pitch, angles[layer % angles.length], phase, box);
  if (pattern.rule === "gyroid") {
    const period = Math.max(1, Math.round(pitch / section.height));
    const height = (((layer % period) + 0.5) * section.height) / pitch;
    return repeated(gyroidStrokes(height), [[1, 0], [0, 1]], pitch, angles[0], phase, box);
  }
  return repeated(pattern.strokes, pattern.lattice, pitch, angles[0], phase, box);
}

// ---- intervals ----------------------------------------------------------------------------------------------------

function merged(intervals) {
  const sorted = [...intervals].sort((one, other) => one[0] - other[0]);
  const found = [];
  for (const [low, high] of sorted) {
    const last = found[found.length - 1];
    if (last && low <= last[1] + 1e-3) last[1] = Math.max(last[1], high);
    else found.push([low, high]);
  }
  return found;
}

function common(some, others) {
  const found = [];
  for (const [a, b] of some) {
    for (const [c, d] of others) if (Math.min(b, d) - Math.max(a, c) > 1e-3) found.push([Math.max(a, c), Math.min(b, d)]);
  }
  return found;
}

function without(some, others) {
  let left = some;
  for (const [c, d] of others) left = left.flatMap(([a, b]) => [[a, Math.min(b, c)], [Math.max(a, d), b]]);
  return left.filter(([a, b]) => b - a > 1e-3);
}

// Where strips of a width along lines meet the line x = at, parallel to axis 2.
function cut(lines, width, at) {
  const found = [];
  for (const line of lines) {
    for (let i = 1; i < line.length; i += 1) {
      const [[x0, y0], [x1, y1]] = [line[i - 1], line[i]].map(([x, y]) => [x - at, y]);
      const length = Math.hypot(x1 - x0, y1 - y0);
      const nx = (-(y1 - y0) / length) * (width / 2);
      const ny = ((x1 - x0) / length) * (width / 2);
      const corners = [[x0 + nx, y0 + ny], [x1 + nx, y1 + ny], [x1 - nx, y1 - ny], [x0 - nx, y0 - ny]];
      const meets = [];
      corners.forEach(([ax, ay], k) => {
        const [bx, by] = corners[(k + 1) % 4];
        if (ax <= 0 !== bx <= 0) meets.push(ay + ((by - ay) * -ax) / (bx - ax));
      });
      if (meets.length > 1) found.push([Math.min(...meets), Math.max(...meets)]);
    }
  }
  return merged(found);
}
