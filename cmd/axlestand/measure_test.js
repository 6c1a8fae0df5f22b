// One function, run in a page under test: what it measures that is smaller, paler or further out than it may be, a line each.
// With card set it holds the page to what a card beside the lift must keep; bar says that its button is at the thumb.
(card, bar) => {
  const wrong = new Set();
  const root = document.querySelector(card ? ".card" : "main") ?? document.body;
  const width = document.documentElement.clientWidth;
  const tidy = (s) => s.replace(/\s+/g, " ").trim();
  const name = (e) => `<${e.tagName.toLowerCase()} class="${e.className?.baseVal ?? e.className}"> ${tidy(e.textContent).slice(0, 50)}`;
  const seen = (e) => e.getClientRects().length > 0 && e.checkVisibility({ visibilityProperty: true }) && !e.closest(".off, .skip:not(:focus)");
  const scrolls = (e) => { // sideways, by itself
    for (let up = e; up && up !== document.body; up = up.parentElement) if (/auto|scroll/.test(getComputedStyle(up).overflowX)) return true;
    return false;
  };
  const fixed = (e) => { // laid over what is under it
    for (let up = e; up; up = up.parentElement) if (/fixed|sticky/.test(getComputedStyle(up).position)) return up;
  };

  const texts = []; // each run of text that is seen, with its boxes
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const text = walk.currentNode;
    const e = text.parentElement;
    if (!tidy(text.data) || !seen(e) || e.matches("script, style, option, template")) continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    texts.push({ e, words: tidy(text.data).slice(0, 50), boxes: [...range.getClientRects()].filter((b) => b.width > 1 && b.height > 1) });
  }

  // Contrast as WCAG 2.2 defines it: https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio and #dfn-relative-luminance.
  const luminance = (c) => {
    const [r, g, b] = c.map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (a, b) => {
    const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x);
    return (light + 0.05) / (dark + 0.05);
  };
  const colours = (s) => [...s.matchAll(/rgba?\(([^)]*)\)/g)].map((m) => m[1].split(/[\s,/]+/).map(Number)).map(([r, g, b, a = 1]) => [r, g, b, a]);
  const over = (top, under) => under.map((v, i) => top[i] * top[3] + v * (1 - top[3]));
  // What can lie behind an element: the colours up to the first that hides what is behind it, each with and without a pattern on it.
  const behind = (e) => {
    const layers = [];
    for (let up = e; up; up = up.parentElement) {
      const style = getComputedStyle(up);
      const [back] = colours(style.backgroundColor);
      const pattern = style.backgroundImage === "none" ? [] : colours(style.backgroundImage);
      layers.push({ back, pattern });
      if (back?.[3] === 1) break;
    }
    let under = [[255, 255, 255]];
    for (const { back, pattern } of layers.reverse()) {
      if (back) under = under.map((u) => over(back, u));
      under = under.flatMap((u) => [u, ...pattern.map((p) => over(p, u))]);
    }
    return under;
  };
  const faint = (e) => {
    let opacity = 1;
    for (let up = e; up; up = up.parentElement) opacity *= getComputedStyle(up).opacity;
    return opacity;
  };
  const pale = (e, words) => {
    const [ink] = colours(getComputedStyle(e).color);
    ink[3] *= faint(e);
    for (const under of behind(e)) {
      const got = ratio(over(ink, under), under);
      if (got < 7) wrong.add(`contrast of ${got.toFixed(2)}: ${words}`);
    }
  };
  for (const { e, words } of texts) if (!e.closest(":disabled")) pale(e, words);
  for (const e of document.querySelectorAll("input:not([type=hidden]), select, textarea")) if (seen(e) && !e.disabled) pale(e, `what is in ${e.name}`);

  // Sideways.
  if (document.documentElement.scrollWidth > width) wrong.add(`it scrolls sideways: ${document.documentElement.scrollWidth} of ${width}`);
  for (const { e, words, boxes } of texts) {
    if (!scrolls(e) && boxes.some((b) => b.right > width + 1 || b.left < -1)) wrong.add(`cut at the edge: ${words}`);
  }
  for (const e of document.querySelectorAll("body *")) {
    const style = getComputedStyle(e);
    if (/hidden|clip/.test(style.overflowX + style.overflowY) && seen(e) && !e.matches("svg, [type=file]") && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)) wrong.add(`cut: ${name(e)}`);
  }

  // Nothing lies on anything else, but for what is laid over the page on purpose.
  const boxes = texts.filter(({ e }) => !fixed(e)).flatMap(({ words, boxes: all }) => all.map((b) => ({ words, b })));
  boxes.sort((x, y) => x.b.top - y.b.top);
  boxes.forEach((x, i) => {
    for (let j = i + 1; j < boxes.length && boxes[j].b.top < x.b.bottom; j++) {
      const y = boxes[j];
      const down = Math.min(x.b.bottom, y.b.bottom) - Math.max(x.b.top, y.b.top);
      const across = Math.min(x.b.right, y.b.right) - Math.max(x.b.left, y.b.left);
      if (x.words !== y.words && across > 2 && down > 0.35 * Math.min(x.b.height, y.b.height)) wrong.add(`overlap: ${x.words} | ${y.words}`);
    }
  });

  if (card) {
    for (const row of root.querySelectorAll(".step")) if (row.getBoundingClientRect().height < 72) wrong.add(`a row of ${row.getBoundingClientRect().height}`);
    for (const e of document.querySelectorAll("main a, main button, main summary, main input:not([type=hidden]), main select, main textarea, .sheet > :not(main, .foot) a, .sheet > :not(main, .foot) button")) {
      if (!seen(e)) continue;
      const box = (e.closest("label") ?? e).getBoundingClientRect();
      if (box.height < 47.9 || box.width < 47.9) wrong.add(`a target of ${box.width.toFixed(1)} x ${box.height.toFixed(1)}: ${name(e)}`);
    }
    for (const e of root.querySelectorAll(".plate b, .stepset b")) if (seen(e) && parseFloat(getComputedStyle(e).fontSize) < 40) wrong.add(`a figure of ${getComputedStyle(e).fontSize}: ${tidy(e.textContent)}`);
    for (const { e, words } of texts) {
      const size = parseFloat(getComputedStyle(e).fontSize);
      if (!e.closest(".foot, .nav, .skip") && size < 20) wrong.add(`text of ${size}: ${words}`);
    }
  }
  const button = bar && !root.querySelector(".cardbefore[open]") && document.querySelector("[data-state=now] .stepbar .btn.primary")?.getBoundingClientRect();
  if (button && (button.top < innerHeight * 2 / 3 || button.bottom > innerHeight)) wrong.add(`the button is from ${button.top} to ${button.bottom} of ${innerHeight}`);
  return [...wrong].join("\n");
}
