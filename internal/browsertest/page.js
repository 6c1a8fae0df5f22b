// One function, run inside the page under test: (verb, args, scope) -> {ok, ...} or {error}. It also works while
// the page's own scripts are switched off.
(verb, args, scope) => {
  const tidy = (s) => (s || "").replace(/\s+/g, " ").trim();
  const shown = (el) =>
    el.checkVisibility({ visibilityProperty: true, opacityProperty: false }) && el.getClientRects().length > 0;
  const isCSS = (s) => /^[#.[]/.test(s);
  const list = (names) => (names.length ? [...new Set(names)].slice(0, 40).join(" | ") : "none");

  // The words of an element: what it is called by aria-label or aria-labelledby, else its text.
  const name = (el) => {
    const ids = el.getAttribute("aria-labelledby");
    if (ids) return tidy(ids.split(/\s+/).map((id) => document.getElementById(id)?.textContent).join(" "));
    return tidy(el.getAttribute("aria-label") || (el.matches("input") ? el.value : el.textContent) || el.title);
  };

  const part = (root, want) => {
    if (isCSS(want)) {
      const el = [...root.querySelectorAll(want)].find(shown);
      return el || { error: `no visible element ${want}` };
    }
    const boxes = [...root.querySelectorAll("fieldset,section,article,form,dialog,nav,details,table,tr,li,main,aside,dl>div")].filter(shown);
    const title = (el) => {
      const head = el.querySelector(":scope legend, :scope h1, :scope h2, :scope h3, :scope h4, :scope summary, :scope caption");
      return tidy(el.getAttribute("aria-label") || (el.hasAttribute("aria-labelledby") ? name(el) : head?.textContent));
    };
    const titled = boxes.filter((el) => title(el) === want);
    const holding = boxes.filter((el) => el.matches("tr,li,article,dl>div") && tidy(el.textContent).includes(want));
    const hits = titled.length ? titled : holding;
    const inner = hits.filter((el) => !hits.some((other) => other !== el && el.contains(other)));
    if (inner.length === 1) return inner[0];
    if (inner.length > 1) return { error: `${inner.length} parts of the page are called ${want}` };
    return { error: `no part of the page is called "${want}"; parts here: ${list(boxes.map(title).filter(Boolean))}` };
  };

  let root = document.body || document.documentElement;
  for (const want of scope) {
    root = part(root, want);
    if (root.error) return root;
  }

  const labelOf = (el) => {
    const own = el.getAttribute("aria-label") || el.hasAttribute("aria-labelledby") ? name(el) : "";
    return own || tidy([...(el.labels || [])].map((l) => {
      const copy = l.cloneNode(true);
      copy.querySelectorAll("input,select,textarea").forEach((n) => n.remove());
      return copy.textContent;
    }).join(" "));
  };

  // A file or radio field is often drawn by its label alone, so the label's being seen is enough.
  const usable = (el) => shown(el) || [...(el.labels || [])].some(shown);

  const field = (want) => {
    const all = [...root.querySelectorAll("input:not([type=hidden]):not([type=submit]):not([type=button]),select,textarea")].filter(usable);
    if (isCSS(want)) {
      const el = all.find((e) => e.matches(want));
      return el || { error: `no visible field ${want}` };
    }
    const exact = all.filter((el) => labelOf(el) === want);
    const hits = exact.length ? exact : all.filter((el) => labelOf(el).startsWith(want));
    if (hits.length === 1) return hits[0];
    if (hits.length > 1) return { error: `${hits.length} fields are labelled "${want}"; say where with In` };
    return { error: `no field is labelled "${want}"; fields here: ${list(all.map((el) => labelOf(el) || `(no label: ${el.name})`))}` };
  };

  const control = (want) => {
    if (isCSS(want)) return [...root.querySelectorAll(want)].find(shown) || { error: `no visible element ${want}` };
    const all = [...root.querySelectorAll("a[href],button,summary,input[type=submit],input[type=button],[role=button],[role=tab],label")].filter(shown);
    for (const test of [(n) => n === want, (n) => n.includes(want)]) {
      const hits = all.filter((el) => test(name(el)));
      const inner = hits.filter((el) => !hits.some((other) => other !== el && el.contains(other)));
      const real = inner.filter((el) => !el.matches("label"));
      const found = real.length ? real : inner;
      const hrefs = new Set(found.map((el) => el.href || Math.random()));
      if (found.length && hrefs.size === 1) return found[0];
      if (found.length) return { error: `${found.length} links or buttons say "${want}"; say where with In` };
    }
    return { error: `nothing to press says "${want}"; to press here: ${list(all.filter((el) => !el.matches("label")).map(name))}` };
  };

  const changed = (el) => {
    el.dispatchEvent(new Event("input", { bubbles: true }));
    el.dispatchEvent(new Event("change", { bubbles: true }));
    return { ok: true };
  };

  const choose = (el, want) => {
    const options = [...el.options];
    const option = options.find((o) => tidy(o.textContent) === want) || options.find((o) => o.value === want);
    if (!option) return { error: `"${args[0]}" has no choice "${want}"; choices: ${list(options.map((o) => tidy(o.textContent)))}` };
    option.selected = true;
    return changed(el);
  };

  // Where to press: the middle of the element, once it is in view and nothing lies over it.
  const target = (el) => {
    el.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
    const r = [...el.getClientRects()].find((q) => q.width > 0 && q.height > 0) || el.getBoundingClientRect();
    const x = r.x + r.width / 2;
    const y = r.y + r.height / 2;
    const top = document.elementFromPoint(x, y);
    if (!top || !(el.contains(top) || top.contains(el) && top.closest("label,a,button") === el.closest("label,a,button"))) {
      return { error: `"${args[0]}" is covered by ${top ? `<${top.tagName.toLowerCase()} class="${top.className}"> ${tidy(top.textContent).slice(0, 60)}` : "nothing: it is outside the window"}` };
    }
    const leaves = !!el.closest("a[href]:not([href^='#']):not([download])") || (el.type === "submit" && !!el.form);
    return { ok: true, x, y, leaves, disabled: !!el.disabled };
  };

  const textOf = (el) => tidy(el.innerText);

  switch (verb) {
    case "fill": {
      const el = field(args[0]);
      if (el.error) return el;
      if (el.disabled || el.readOnly) return { error: `the field "${args[0]}" cannot be changed` };
      if (el.matches("select")) return choose(el, args[1]);
      if (el.matches("[type=checkbox],[type=radio]")) return { error: `"${args[0]}" is ticked, not filled: use Tick, Untick` };
      if (el.matches("textarea,input:not([type]),[type=text],[type=search],[type=password],[type=email],[type=url],[type=tel]")) {
        el.scrollIntoView({ block: "center", behavior: "instant" });
        el.focus();
        el.select();
        return { ok: true, typing: true };
      }
      el.focus();
      el.value = args[1];
      if (el.value !== args[1]) return { error: `the field "${args[0]}" (type ${el.type}) does not take "${args[1]}"` };
      return changed(el);
    }
    case "tick": {
      const el = field(args[0]);
      if (el.error) return el;
      if (!el.matches("[type=checkbox],[type=radio]")) return { error: `"${args[0]}" cannot be ticked` };
      if (el.checked === args[1]) return { ok: true, done: true };
      return target(shown(el) && el.getBoundingClientRect().width > 4 ? el : [...el.labels].find(shown));
    }
    case "value": {
      const el = field(args[0]);
      if (el.error) return el;
      if (el.matches("select")) return { ok: true, text: tidy(el.selectedOptions[0]?.textContent) };
      if (el.matches("[type=checkbox],[type=radio]")) return { ok: true, text: el.checked ? "on" : "" };
      return { ok: true, text: el.value };
    }
    case "press": {
      const el = control(args[0]);
      if (el.error) return el;
      const at = target(el);
      return at.disabled ? { error: `"${args[0]}" is disabled` } : at;
    }
    case "text": {
      const el = part(root, args[0]);
      return el.error ? el : { ok: true, text: textOf(el) };
    }
    case "count":
      return { ok: true, count: [...root.querySelectorAll(args[0])].filter(shown).length };
    case "has": {
      const text = textOf(root).toLowerCase();
      const missing = args.filter((want) => !text.includes(tidy(want).toLowerCase()));
      return missing.length ? { error: `the page does not say ${missing.map((m) => `"${m}"`).join(", ")}` } : { ok: true };
    }
    case "lacks": {
      const text = textOf(root).toLowerCase();
      const found = args.filter((want) => text.includes(tidy(want).toLowerCase()));
      return found.length ? { error: `the page says ${found.map((m) => `"${m}"`).join(", ")}` } : { ok: true };
    }
    case "fits": {
      // A phone zooms out until the widest thing fits, so only the layout's own width tells.
      const wide = document.documentElement.scrollWidth;
      const width = document.documentElement.clientWidth;
      if (wide <= width) return { ok: true };
      const out = [...document.querySelectorAll("body *")].filter((el) => shown(el) && el.getBoundingClientRect().right > width + 1);
      const deepest = out.filter((el) => !out.some((other) => other !== el && el.contains(other)));
      return { error: `the page is ${wide} px wide in a window of ${width}; sticking out: ${list(deepest.map((el) => `<${el.tagName.toLowerCase()} class="${el.className}">`))}` };
    }
    case "complaints": {
      const bad = [...document.querySelectorAll(":invalid:not(form):not(fieldset)")];
      return { ok: true, text: bad.map((el) => `${labelOf(el) || el.name}: ${el.validationMessage}`).join("; ") };
    }
    case "page":
      return { ok: true, text: `${document.title}: ${tidy(document.body?.innerText).slice(0, 700)}`, url: location.href, ready: document.readyState === "complete", origin: performance.timeOrigin };
  }
  return { error: `no verb ${verb}` };
};
