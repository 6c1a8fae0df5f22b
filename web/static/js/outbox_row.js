// The rows of a card as they are with what is not sent yet. The server's word is the ground; what waits is laid over it.
const served = new WeakMap(); // a row's state as the server gave it
const steps = () => [...document.querySelectorAll("[data-step]")];
const clock = (at) => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

function remember(all = steps()) {
  for (const row of all) served.set(row, { state: row.dataset.state, said: [...row.querySelector("[data-said]")?.childNodes ?? []] });
}

// standing are the operations of a step that are not undone by a later one. What undoes something that was sent already opens it.
function standing(operations) {
  const left = [];
  for (const o of operations) {
    const i = o.of ? left.findIndex((one) => one.key === o.of) : -1;
    if (i >= 0) left.splice(i, 1);
    else if (o.becomes) left.push(o);
  }
  return left;
}

function paint(row, operations) {
  const ground = served.get(row);
  const top = standing(operations).at(-1);
  const state = (top?.becomes ?? ground.state).replace("now", "open");
  const unsent = operations.some((o) => !o.sent);
  const said = row.querySelector("[data-said]");
  if (row.dataset.state !== state && !(state === "open" && row.dataset.state === "now")) row.dataset.state = state;
  row.toggleAttribute("data-waits", unsent);
  if (said) {
    const when = top?.until ? timer(top.until) : top && top.becomes !== "open" && clock(top.at);
    const before = top ? [when] : ground.said; // a photo changes nothing of how the step stands
    const parts = [...before, unsent && "not sent"].filter((part) => part && (part.textContent ?? part) !== "");
    said.replaceChildren(...operations.length === 0 ? ground.said : parts.flatMap((part, i) => i > 0 ? [", ", part] : [part]));
  }
  // what the server would undo is not what stands here now
  for (const form of row.querySelectorAll("form[data-becomes=open]:not([data-undoes])")) form.hidden = operations.some((o) => o.becomes);
  undo(row, top?.becomes === "open" ? undefined : top);
  ripen(row, top?.becomes === "running");
}

// ripen makes the button that started a wait the one that ends it, as the server does with its next page.
function ripen(row, running) {
  const form = row.querySelector(running ? "form[data-becomes=running]" : "form[data-ripe]");
  if (!form) return;
  const button = [...form.elements].find((field) => field.type === "submit");
  [form.elements.kind.value, form.dataset.becomes] = running ? ["done", "done"] : ["started", "running"];
  if (running) form.dataset.ripe = button.textContent;
  button.textContent = running ? "Done" : form.dataset.ripe;
  if (!running) delete form.dataset.ripe;
}

function timer(until) {
  const time = document.createElement("time");
  time.dataset.until = until;
  time.textContent = `until ${clock(until)}`;
  return time;
}

// undo offers to undo what is not sent yet: the server has given it no number, so it is named by its key.
function undo(row, operation) {
  const there = row.querySelector("form[data-undoes]");
  if (there?.dataset.undoes === operation?.key) return;
  there?.remove();
  const form = operation && row.querySelector("template[data-undo]")?.content.querySelector("form");
  if (!form) return;
  const own = document.importNode(form, true);
  own.dataset.undoes = operation.key;
  own.dataset.outbox = "";
  own.elements.of.value = operation.key;
  (row.querySelector("[data-undo-here]") ?? row).append(own);
}

// makeNow opens one row large, and no other. One that waits or is locked is opened and stays as it is.
function makeNow(next) {
  for (const row of steps()) {
    if (row === next) continue;
    if (row.dataset.state === "now") row.dataset.state = "open";
    if (row.dataset.state === "running" || row.dataset.state === "locked") row.removeAttribute("data-opened");
  }
  if (!next) return;
  if (isOpen(next)) next.dataset.state = "now";
  else next.toggleAttribute("data-opened", true);
}

const isOpen = (row) => row.dataset.state === "open" || row.dataset.state === "now";
const isLeft = (row) => row.dataset.state !== "done" && row.dataset.state !== "no-wrench";
let painted = new Set();
let last = []; // the operations that were laid over the page
let chosen; // the step where the owner is

export const rows = {
  apply(operations) {
    last = operations;
    const by = new Map();
    for (const o of operations) by.set(o.step, [...by.get(o.step) ?? [], o]);
    for (const row of steps()) {
      const own = by.get(row.dataset.step) ?? [];
      if (!served.has(row)) remember([row]);
      if (own.length > 0 || painted.has(row.dataset.step)) paint(row, own);
    }
    painted = new Set(by.keys());
    const own = steps().find((row) => row.dataset.step === chosen && isLeft(row));
    if (operations.length > 0 || own) makeNow(own ?? steps().find((row) => row.dataset.state === "now") ?? steps().find(isLeft));
  },

  // advance goes on to the step that is next after one was done, or back to the one that was undone. Who works by keyboard goes
  // along: to the head of the step, where it is read before anything is pressed.
  advance(operation, keyboard) {
    const all = steps();
    const at = all.findIndex((row) => row.dataset.step === operation.step);
    if (operation.becomes !== "open") document.querySelector(".cardbefore[open]")?.removeAttribute("open"); // the work has begun
    const stays = operation.becomes === "open" || operation.becomes === "running"; // nothing that follows a wait may come before its end
    if (!stays) all[at]?.removeAttribute("data-opened");
    const next = stays ? all[at] : all.slice(at + 1).find(isLeft) ?? all.find(isLeft);
    chosen = next?.dataset.step;
    makeNow(next);
    if (keyboard) (next ?? all[at])?.querySelector("[data-open-step]")?.focus({ preventScroll: true });
    // a step that fills the screen is shown from its words on
    if (!stays) next?.scrollIntoView({ block: next.offsetHeight > innerHeight * .6 ? "start" : "center", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  },
};

// A step is opened where it stands: another page may not be to be had. One that is done shows what was noted.
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-open-step]");
  if (!link || event.defaultPrevented || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  const row = link.closest("[data-step]");
  if (!isLeft(row)) {
    row.toggleAttribute("data-opened");
    return;
  }
  chosen = row.dataset.step;
  makeNow(row);
});

// Who leaves sees that it was noted, at the head of the card: the form is at its end.
let leaving = false;
document.addEventListener("submit", (event) => { leaving ||= event.target.id === "leave"; });
document.addEventListener("refreshed", () => {
  const noted = leaving && document.querySelector(".cardleft");
  if (!noted) return;
  leaving = false;
  noted.scrollIntoView({ block: "center" });
});

remember();
// What is known is laid over the new page before it is seen: nothing jumps to what the server knew and back.
document.addEventListener("refreshed", () => {
  remember();
  painted.clear();
  rows.apply(last);
});
