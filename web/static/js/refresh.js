// Brings the page up to date from the server without losing place, focus or what is being typed. The server's fragment stands
// at the address in data-part; without one the page itself is asked for.
let running;
let again = false;
let pressed = false; // nothing moves under a finger

document.addEventListener("pointerdown", () => { pressed = true; });
for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => setTimeout(() => { pressed = false; }, 60));

export function refresh() {
  again = true;
  running ??= (async () => {
    while (again) {
      again = false;
      await once();
    }
  })().finally(() => { running = undefined; });
  return running;
}

async function once() {
  const main = document.querySelector("main");
  const from = document.querySelector("[data-part]")?.dataset.part ?? location.pathname + location.search;
  const began = performance.now();
  try {
    const answer = await fetch(from, { redirect: "manual", signal: AbortSignal.timeout(15000) });
    if (answer.status !== 200) return;
    const there = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("main");
    if (!there) return;
    while (pressed) await new Promise((go) => setTimeout(go, 30));
    const at = place();
    morph(main, document.importNode(there, true));
    stay(at);
    document.dispatchEvent(new CustomEvent("refreshed", { detail: began }));
  } catch { /* it is as old as it says until the next time */ }
}

// place is where the keyboard is, from there outwards.
function place() {
  const all = [];
  for (let at = document.activeElement; at && at !== document.body; at = at.parentElement) all.push(at);
  return all;
}

// stay puts the keyboard as near as can be to where it was, when what it was on is gone.
function stay(at) {
  if (at.length === 0 || document.activeElement !== document.body && at[0].checkVisibility()) return;
  for (const around of at.slice(1)) {
    if (!around.isConnected || !around.checkVisibility()) continue;
    const near = [...around.querySelectorAll("a[href], button, input:not([type=hidden]), summary")].find((e) => e.checkVisibility());
    if (near) return near.focus({ preventScroll: true });
  }
}

const keyOf = (node) => node.nodeType === 1 ? node.dataset.step ?? node.getAttribute("id") ?? "" : "";
const alike = (a, b) => a.nodeType === b.nodeType && a.nodeName === b.nodeName && keyOf(a) === keyOf(b);
const typed = (field) => field === document.activeElement ||
  (field.type === "checkbox" || field.type === "radio" ? field.checked !== field.defaultChecked : field.value !== field.defaultValue);

// morph makes one node like another and keeps what is alike.
function morph(from, to) {
  if (from.nodeType !== 1) {
    if (from.data !== to.data) from.data = to.data;
    return;
  }
  if (from.nodeName === "TEMPLATE") return void from.replaceWith(to);
  if (from.hasAttribute("data-unsent")) return; // the server cannot know what this device has not sent
  const isField = /^(INPUT|TEXTAREA|SELECT)$/.test(from.nodeName) && from.type !== "hidden";
  if (isField && (from.nodeName === "SELECT" ? from === document.activeElement || from.dataset.typed : typed(from))) return;
  for (const { name } of [...from.attributes]) {
    if (!to.hasAttribute(name) && name !== "data-opened" && !(name === "open" && from.nodeName === "DETAILS")) from.removeAttribute(name);
  }
  for (const { name, value } of to.attributes) {
    if (from.getAttribute(name) !== value) from.setAttribute(name, value);
  }
  if (from.nodeName === "INPUT" && from.value !== to.value) from.value = to.value;
  children(from, to);
}

function children(from, to) {
  let next = from.firstChild;
  for (const wanted of [...to.childNodes]) {
    let same = next;
    if (!same || !alike(same, wanted)) same = [...from.childNodes].find((n) => keyOf(wanted) && alike(n, wanted));
    if (!same) {
      from.insertBefore(wanted, next);
      continue;
    }
    if (same === next) next = next.nextSibling;
    else from.insertBefore(same, next);
    morph(same, wanted);
  }
  while (next) {
    const gone = next;
    next = next.nextSibling;
    gone.remove();
  }
}

document.addEventListener("change", (event) => { if (event.target.nodeName === "SELECT") event.target.dataset.typed = "yes"; });
