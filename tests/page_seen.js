// What a browser makes of each frame's page: sizes in px, texts and lines too faint, stops of the Tab key.
addEventListener("load", () => {
  const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const rgba = (colour) => {
    canvas.clearRect(0, 0, 1, 1);
    canvas.fillStyle = colour;
    canvas.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  };
  const part = (v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const contrast = (a, b) => {
    const [low, high] = [light(rgba(a)), light(rgba(b))].sort((x, y) => x - y);
    return (high + 0.05) / (low + 0.05);
  };
  const behind = (node, view) => {
    for (let at = node; at; at = at.parentElement) {
      const under = at.matches("text.ow-number") ? at.previousElementSibling : null;
      const colour = under ? view.getComputedStyle(under).fill : view.getComputedStyle(at).backgroundColor;
      if (rgba(colour)[3] > 0.5) return colour;
    }
    return "#fff";
  };
  const paper = (node, view) => {
    const rect = node.closest("svg")?.querySelector(".ow-paper, .sheet-paper");
    const fill = rect && view.getComputedStyle(rect).fill;
    return fill && fill !== "none" ? fill : behind(node, view);
  };
  const BESIDE = ".ch-grid, .ow-lead, .ow-window, .ch-bar, .ow-paper, .ow-cg, .pl-own, .pl-best, [class^=pl-], .sheets *, defs *";
  const seen = (view) => {
    const doc = view.document, root = doc.documentElement, told = { faint: [], pale: [], unordered: [], unseen: [], levels: [] };
    doc.querySelectorAll("details").forEach((fold) => { fold.open = false; });
    const bottom = (what) => Math.ceil(doc.querySelector(what)?.getBoundingClientRect().bottom ?? 0);
    Object.assign(told, { answer: bottom(".answer"), side: bottom("svg.side"), wide: root.scrollWidth, paper: view.getComputedStyle(doc.body).backgroundColor });
    doc.querySelectorAll("details").forEach((fold) => { fold.open = true; });
    told.clipped = [...doc.querySelectorAll("caption:not(.quiet)")].filter((at) => {
      const words = doc.createRange();
      words.selectNodeContents(at);
      return words.getBoundingClientRect().right > root.clientWidth;
    }).map((at) => at.textContent);
    const walk = doc.createTreeWalker(doc.body, NodeFilter.SHOW_TEXT);
    told.texts = 0;
    for (let node = walk.nextNode(); node; node = walk.nextNode()) {
      const at = node.parentElement;
      if (!node.data.trim() || at.closest("script, style, title, noscript, .sheets svg, caption.quiet")) continue;
      const style = view.getComputedStyle(at), drawn = at.namespaceURI.endsWith("svg");
      const size = parseFloat(style.fontSize), large = !drawn && (size >= 24 || (size >= 18.66 && style.fontWeight >= 700));
      const ratio = contrast(drawn ? style.fill : style.color, drawn && !at.matches(".ow-number") ? paper(at, view) : behind(at, view));
      told.texts += 1;
      if (ratio < (large ? 3 : 4.5)) told.faint.push(`${ratio.toFixed(2)} ${at.tagName}.${at.className.baseVal ?? at.className}: ${node.data.trim().slice(0, 40)}`);
    }
    told.strokes = 0;
    for (const at of doc.querySelectorAll("svg :is(path, line, polyline, circle, rect)")) {
      if (at.matches(BESIDE)) continue;
      const style = view.getComputedStyle(at), under = paper(at, view);
      const best = Math.max(...[style.stroke, style.fill].filter((c) => c !== "none" && rgba(c)[3] > 0).map((c) => contrast(c, under)), 0);
      told.strokes += 1;
      if (best < 3) told.pale.push(`${best.toFixed(2)} ${at.tagName}.${at.className.baseVal}`);
    }
    const stops = [...doc.querySelectorAll("a[href], button, input, summary, [tabindex]")].filter((at) => at.checkVisibility());
    told.stops = stops.length;
    for (const at of stops) {
      if (at.tabIndex !== 0) told.unordered.push(at.outerHTML.slice(0, 80));
      at.focus({ focusVisible: true });
      const style = view.getComputedStyle(at);
      if (doc.activeElement !== at || style.outlineStyle === "none" || parseFloat(style.outlineWidth) < 2) told.unseen.push(at.outerHTML.slice(0, 80));
    }
    let last = 0;
    for (const head of doc.querySelectorAll("h1, h2, h3, h4, h5")) {
      const level = Number(head.tagName[1]);
      if (level > last + 1) told.levels.push(head.textContent);
      last = level;
    }
    return told;
  };
  const told = Object.fromEntries([...document.querySelectorAll("iframe")].map((frame) => [frame.name, seen(frame.contentWindow)]));
  const out = document.createElement("pre");
  out.id = "seen";
  out.textContent = JSON.stringify(told);
  document.body.append(out);
});
