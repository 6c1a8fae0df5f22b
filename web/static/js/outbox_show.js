// What the owner sees of the outbox: how much is unsent, what was refused, and what went wrong on this device.
export const shows = { again() {}, drop() {}, putBack() {} };
const dropped = new Map(); // by number, until the page is left

// make is an element with attributes and children.
function make(name, attributes, ...inside) {
  const made = document.createElement(name);
  for (const [a, value] of Object.entries(attributes)) made.setAttribute(a, value);
  made.append(...inside);
  return made;
}

// place is where something is said; pages that have no place for it get one.
function place(name, element) {
  const there = document.querySelector(`[${name}]`);
  if (there) return there;
  element.setAttribute(name, "");
  document.querySelector("main").before(element);
  return element;
}

function button(text, act, kind = "") {
  const made = make("button", { type: "button", class: `btn ${kind}` }, text);
  made.addEventListener("click", act);
  return made;
}

let shown = "";

export const show = {
  // say is for what must not be missed.
  say(text) {
    const alert = place("data-alert", make("p", { role: "alert", class: "outboxalert" }));
    alert.textContent = text;
    alert.hidden = text === "";
  },

  counts(waiting, refused, signedOut) {
    const n = waiting === 0 ? "all sent" : `${waiting} not sent`;
    const text = [n, refused.length > 0 && `${refused.length} refused`].filter(Boolean).join(", ");
    if (waiting + refused.length > 0 || document.querySelector("[data-unsent]")) {
      const count = place("data-unsent", make("p", { role: "status", class: "outboxcount" }));
      if (count.textContent !== text) count.textContent = text;
      count.dataset.unsent = waiting + refused.length > 0 ? "some" : "";
    }
    this.signedOut(signedOut, waiting);
    this.refused(refused);
  },

  signedOut(yes, waiting) {
    const there = document.querySelector("[data-signed-out]");
    if (!yes) return void there?.remove();
    const back = encodeURIComponent(location.pathname + location.search);
    place("data-signed-out", make("p", { role: "alert", class: "outboxalert" })).replaceChildren(
      `Signed out. What you did is kept here, ${waiting} not sent: `, make("a", { href: `/signin?back=${back}` }, "sign in again"), ".");
  },

  refused(operations) {
    if (operations.length + dropped.size === 0 && !document.querySelector("[data-refused]")) return;
    const section = place("data-refused", make("section", { class: "outboxrefused", "aria-label": "Refused" }));
    const state = JSON.stringify([operations.map((o) => [o.n, o.answer]), [...dropped.keys()]]);
    if (state === shown && section.childElementCount > 0 === operations.length + dropped.size > 0) return;
    shown = state;
    section.hidden = operations.length + dropped.size === 0;
    section.replaceChildren();
    if (section.hidden) return;
    section.append(make("h2", {}, "Refused"), make("ul", {}, ...operations.map(entry), ...[...dropped.values()].map(droppedEntry)));
  },
};

function entry(operation) {
  const { message, fields } = operation.answer;
  const told = Object.values(fields ?? {}).filter(Boolean); // the message is all of them in one
  const said = [...new Set(told.length > 0 ? told : [message])].join(" ");
  const typed = operation.typed.map(([label, value]) => `${label}: ${value}`).join(", ");
  const at = new Date(operation.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  return make("li", {}, make("p", {}, make("strong", {}, operation.what), ` at ${at}`), ...typed ? [make("p", {}, typed)] : [],
    make("p", { class: "error" }, said), make("div", { class: "actions" },
      button("Try again", () => shows.again(operation), "primary"),
      button("Drop it", () => { dropped.set(operation.n, operation); shows.drop(operation); })));
}

function droppedEntry(operation) {
  return make("li", {}, make("p", {}, `Dropped: ${operation.what}`),
    button("Put it back", () => { dropped.delete(operation.n); shows.putBack(operation); }));
}
