"use strict";
// The report's 3-D view: triangles filled into a picture with a depth for every pixel, in plain JavaScript, so that it
// needs no graphics card, no library and no network. Parallel projection; x aft, y starboard, z up, in millimetres.
(function () {
  const data = document.getElementById("scene");
  const box = document.getElementById("view3d");
  if (!data || !box) return;
  const canvas = box.querySelector("canvas");
  const context = canvas.getContext("2d");
  const PALETTE = { light: ["#c9d1d6", "#d9b98a", "#8fc3d8", "#3f8fb0", "#d08a63"],
                    dark: ["#7f8b94", "#a98455", "#5fa3bd", "#3f9cc4", "#c9784c"] };
  const LIGHT = [-0.45, -0.35, 0.82];
  const CREASE = Math.cos(Math.PI / 6); // edges that turn more than this are drawn

  const parts = JSON.parse(data.textContent).parts.map(prepare);
  let yaw = -0.62, pitch = 0.42, zoom = 1, panX = 0, panY = 0, waiting = false;
  if (window.foamworksView) [yaw, pitch, zoom, panX, panY] = window.foamworksView; // set by the live page only

  function prepare(part) {
    const v = Float32Array.from(part.v, (n) => n / 10);
    const f = part.f, count = f.length / 3, normals = new Float32Array(f.length);
    const edges = new Map();
    for (let t = 0; t < count; t++) {
      const [a, b, c] = [f[3 * t] * 3, f[3 * t + 1] * 3, f[3 * t + 2] * 3];
      const ux = v[b] - v[a], uy = v[b + 1] - v[a + 1], uz = v[b + 2] - v[a + 2];
      const wx = v[c] - v[a], wy = v[c + 1] - v[a + 1], wz = v[c + 2] - v[a + 2];
      const n = [uy * wz - uz * wy, uz * wx - ux * wz, ux * wy - uy * wx];
      const size = Math.hypot(...n) || 1;
      for (let i = 0; i < 3; i++) {
        normals[3 * t + i] = n[i] / size;
        const p = f[3 * t + i], q = f[3 * t + (i + 1) % 3];
        const key = p < q ? p + "," + q : q + "," + p;
        if (edges.has(key)) edges.get(key).push(t); else edges.set(key, [t]);
      }
    }
    const lines = [];
    for (const [key, sides] of edges) {
      const [s, t] = sides;
      const dot = sides.length < 2 ? 0 : Math.abs(normals[3 * s] * normals[3 * t] +
        normals[3 * s + 1] * normals[3 * t + 1] + normals[3 * s + 2] * normals[3 * t + 2]);
      if (dot < CREASE) lines.push(...key.split(",").map(Number));
    }
    return { name: part.name, group: part.group, shown: part.shown, v, f, normals, lines };
  }

  function bounds() {
    const low = [1e9, 1e9, 1e9], high = [-1e9, -1e9, -1e9];
    for (const part of parts) {
      for (let i = 0; i < part.v.length; i++) {
        low[i % 3] = Math.min(low[i % 3], part.v[i]);
        high[i % 3] = Math.max(high[i % 3], part.v[i]);
      }
    }
    const middle = low.map((l, i) => (l + high[i]) / 2);
    return { middle, radius: Math.hypot(...low.map((l, i) => (high[i] - l) / 2)) || 1 };
  }
  const whole = bounds();

  function draw() {
    waiting = false;
    const fine = Math.min(window.devicePixelRatio || 1, 2);
    const wide = Math.max(1, Math.round(canvas.clientWidth * fine));
    const tall = Math.max(1, Math.round(canvas.clientHeight * fine));
    canvas.width = wide; canvas.height = tall;
    const dark = window.matchMedia("(prefers-color-scheme: dark)").matches && !window.matchMedia("print").matches;
    const picture = context.createImageData(wide, tall);
    const pixels = new Uint32Array(picture.data.buffer);
    const depth = new Float32Array(wide * tall).fill(-1e9);
    const scale = zoom * Math.min(wide, 1.7 * tall) / (1.8 * whole.radius);
    const [cy, sy, cp, sp] = [Math.cos(yaw), Math.sin(yaw), Math.cos(pitch), Math.sin(pitch)];
    const [mx, my, mz] = whole.middle;
    // seen along the view: right, up and towards the eye
    const right = [cy, sy, 0], up = [-sp * sy, sp * cy, cp], near = [cp * sy, -cp * cy, sp];
    for (const part of parts) {
      if (!part.shown) continue;
      const n = part.v.length / 3, px = new Float32Array(n), py = new Float32Array(n), pz = new Float32Array(n);
      for (let i = 0; i < n; i++) {
        const x = part.v[3 * i] - mx, y = part.v[3 * i + 1] - my, z = part.v[3 * i + 2] - mz;
        px[i] = wide / 2 + panX * fine + scale * (x * right[0] + y * right[1]);
        py[i] = tall / 2 + panY * fine - scale * (x * up[0] + y * up[1] + z * up[2]);
        pz[i] = x * near[0] + y * near[1] + z * near[2];
      }
      const colour = (dark ? PALETTE.dark : PALETTE.light)[part.group];
      const rgb = [1, 3, 5].map((i) => parseInt(colour.slice(i, i + 2), 16));
      for (let t = 0; t < part.f.length; t += 3) {
        const lit = part.normals[t] * LIGHT[0] + part.normals[t + 1] * LIGHT[1] + part.normals[t + 2] * LIGHT[2];
        const facing = part.normals[t] * near[0] + part.normals[t + 1] * near[1] + part.normals[t + 2] * near[2];
        const shade = 0.62 + 0.38 * (facing < 0 ? -lit : lit);
        fill(part.f[t], part.f[t + 1], part.f[t + 2], px, py, pz, rgb.map((c) => Math.round(c * Math.max(0.25, shade))));
      }
      const ink = rgb.map((c) => Math.round(dark ? 255 - (255 - c) * 0.35 : c * 0.32));
      for (let i = 0; i < part.lines.length; i += 2) edge(part.lines[i], part.lines[i + 1], px, py, pz, ink);
    }
    context.putImageData(picture, 0, 0);
    box.dataset.ready = "yes";
    box.dataset.view = JSON.stringify([yaw, pitch, zoom, panX, panY]);

    function put(x, y, z, rgb) {
      const at = y * wide + x;
      if (z < depth[at]) return;
      depth[at] = z;
      pixels[at] = (255 << 24) | (rgb[2] << 16) | (rgb[1] << 8) | rgb[0];
    }
    function fill(a, b, c, px, py, pz, rgb) {
      const area = (px[b] - px[a]) * (py[c] - py[a]) - (px[c] - px[a]) * (py[b] - py[a]);
      if (Math.abs(area) < 1e-6) return;
      const x0 = Math.max(0, Math.floor(Math.min(px[a], px[b], px[c])));
      const x1 = Math.min(wide - 1, Math.ceil(Math.max(px[a], px[b], px[c])));
      const y0 = Math.max(0, Math.floor(Math.min(py[a], py[b], py[c])));
      const y1 = Math.min(tall - 1, Math.ceil(Math.max(py[a], py[b], py[c])));
      for (let y = y0; y <= y1; y++) {
        for (let x = x0; x <= x1; x++) {
          const u = ((px[b] - x) * (py[c] - y) - (px[c] - x) * (py[b] - y)) / area;
          const w = ((px[c] - x) * (py[a] - y) - (px[a] - x) * (py[c] - y)) / area;
          const q = 1 - u - w;
          if (u >= -1e-6 && w >= -1e-6 && q >= -1e-6) put(x, y, u * pz[a] + w * pz[b] + q * pz[c], rgb);
        }
      }
    }
    function edge(a, b, px, py, pz, rgb) {
      const steps = Math.ceil(Math.max(Math.abs(px[b] - px[a]), Math.abs(py[b] - py[a]), 1));
      const ahead = 0.1 + 0.5 / scale; // mm, so that an edge wins over its own faces
      for (let i = 0; i <= steps; i++) {
        const s = i / steps;
        const x = Math.round(px[a] + s * (px[b] - px[a])), y = Math.round(py[a] + s * (py[b] - py[a]));
        if (x >= 0 && x < wide && y >= 0 && y < tall) put(x, y, pz[a] + s * (pz[b] - pz[a]) + ahead, rgb);
      }
    }
  }
  function redraw() { if (!waiting) { waiting = true; window.requestAnimationFrame(draw); } }

  const held = new Map();
  let apart = 0;
  canvas.addEventListener("pointerdown", (e) => { canvas.setPointerCapture(e.pointerId); held.set(e.pointerId, e); apart = 0; });
  for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, (e) => { held.delete(e.pointerId); apart = 0; });
  canvas.addEventListener("pointermove", (e) => {
    const before = held.get(e.pointerId);
    if (!before) return;
    const dx = e.clientX - before.clientX, dy = e.clientY - before.clientY;
    held.set(e.pointerId, e);
    if (held.size === 2) {
      const [p, q] = [...held.values()], now = Math.hypot(p.clientX - q.clientX, p.clientY - q.clientY);
      if (apart) zoomBy(now / apart);
      apart = now; panX += dx / 2; panY += dy / 2;
    } else if (e.shiftKey || e.buttons === 2) { panX += dx; panY += dy; } else turn(-dx * 0.008, dy * 0.008);
    redraw();
  });
  canvas.addEventListener("contextmenu", (e) => e.preventDefault());
  canvas.addEventListener("wheel", (e) => {
    if (!e.ctrlKey && document.activeElement !== canvas) return; // the page scrolls until the view is clicked
    e.preventDefault(); zoomBy(Math.exp(-e.deltaY * 0.0012)); redraw();
  }, { passive: false });
  canvas.addEventListener("keydown", (e) => {
    const keys = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, 0.1], ArrowDown: [0, -0.1] };
    if (keys[e.key]) turn(...keys[e.key]);
    else if (e.key === "+" || e.key === "=") zoomBy(1.15);
    else if (e.key === "-") zoomBy(1 / 1.15);
    else return;
    e.preventDefault(); redraw();
  });
  function turn(side, over) { yaw += side; pitch = Math.max(-1.57, Math.min(1.57, pitch + over)); }
  function zoomBy(factor) { zoom = Math.max(0.3, Math.min(30, zoom * factor)); }

  const VIEWS = { "from ahead": [-0.62, 0.42], side: [0, 0], top: [0, 1.5708], front: [-1.5708, 0], "from astern": [0.75, 0.42] };
  const buttons = box.querySelector(".views");
  for (const name of Object.keys(VIEWS)) {
    const button = document.createElement("button");
    button.type = "button"; button.textContent = name;
    button.addEventListener("click", () => { [yaw, pitch] = VIEWS[name]; zoom = 1; panX = panY = 0; redraw(); });
    buttons.append(button);
  }
  const list = box.querySelector(".parts");
  for (const part of parts) {
    const label = document.createElement("label"), tick = document.createElement("input");
    tick.type = "checkbox"; tick.checked = part.shown;
    tick.addEventListener("change", () => { part.shown = tick.checked; redraw(); });
    const patch = document.createElement("span");
    patch.className = "patch group" + part.group;
    label.append(tick, patch, " " + part.name);
    list.append(label);
  }
  box.hidden = false;
  new ResizeObserver(redraw).observe(canvas);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
  draw();
})();
