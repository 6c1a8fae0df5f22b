// Forms with data-outbox work without a connection. What is sent is on the disk before the screen changes, and goes to the
// server in the order in which it was done. What is done and undone before it was sent is sent as both: the record keeps what
// happened. What the server refuses stays here, with what was typed, until the owner says otherwise.
import * as store from "./outbox_store.js";
import { show, shows } from "./outbox_show.js";
import { rows } from "./outbox_row.js";
import { refresh } from "./refresh.js";

const pause = 400; // a second tap within it is none
const patience = 15000;
const pace = 10; // bytes in a millisecond that even a bad line carries
const page = key();
const news = "BroadcastChannel" in window ? new BroadcastChannel("axlestand") : undefined;
let last = -pause;
let unseen = []; // sent, but the page is older: their rows stay as they were made
let signedOut = false;
let wait = 0;
let timer;
let sending;

// key names an operation for ever. crypto.randomUUID is missing on plain http.
function key() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-outbox]") || event.defaultPrevented || !window.indexedDB) return;
  event.preventDefault();
  if (event.timeStamp - last < pause) return;
  last = event.timeStamp;
  keep(form, event.submitter);
});

async function keep(form, submitter) {
  const operation = read(form, submitter);
  const here = document.activeElement?.form === form || form.contains(document.activeElement);
  try {
    operation.n = await store.add(operation);
  } catch {
    await sendUnkept(operation);
    return;
  }
  news?.postMessage("changed");
  form.reset();
  await update();
  if (operation.step && operation.becomes) rows.advance(operation, here);
  flush();
}

// labelOf is a field's label without what is said of it.
function labelOf(field) {
  const label = field.labels[0].cloneNode(true);
  for (const more of label.querySelectorAll(".req")) more.remove();
  return label.textContent.trim();
}

function read(form, submitter) {
  const sent = new FormData(form);
  const own = key();
  const now = new Date().toISOString();
  sent.set("once", own);
  if (submitter?.name) sent.append(submitter.name, submitter.value);
  if (!sent.get("at") && (form.elements.at || form.dataset.becomes)) sent.set("at", now);
  const row = form.closest("[data-step]");
  return {
    key: own, at: now, action: submitter?.getAttribute("formaction") ?? form.getAttribute("action"), fields: [...sent], state: "waiting", place: location.pathname,
    step: row?.dataset.step, becomes: form.dataset.becomes, of: form.elements.of?.value,
    until: form.dataset.minutes && new Date(Date.parse(now) + form.dataset.minutes * 60000).toISOString(),
    what: [row?.querySelector("[data-text]")?.textContent ?? document.querySelector("h1")?.textContent, submitter?.textContent]
      .map((text) => text?.trim().replace(/\s+/g, " ")).filter(Boolean).join(": "),
    typed: [...form.elements].filter((f) => f.name && f.type !== "hidden" && f.labels?.length && sent.has(f.name))
      .map((f) => [labelOf(f), f.selectedOptions?.[0]?.textContent ?? (f.files ? [...f.files].map((file) => file.name).join(", ") : f.value)])
      .filter(([, value]) => value !== ""),
  };
}

// The device keeps nothing more. What it has goes first, so that the order stays.
async function sendUnkept(operation) {
  show.say("This device is full and kept nothing. Sending it now: stay on this page.");
  await flush();
  const waiting = await store.all().catch(() => []);
  const answer = waiting.some((o) => o.state === "waiting") ? undefined : await send(operation);
  if (answer?.status === 204) {
    show.say("");
    refresh();
  } else {
    show.say(`Not kept and not sent: ${operation.what}. ${(await words(answer)).message} Free some space on this device, or try again where there is a connection.`);
  }
}

async function send({ action, key, fields }) {
  const files = fields.some(([, value]) => typeof value !== "string");
  const body = files ? new FormData() : new URLSearchParams();
  for (const [name, value] of fields) body.append(name, value);
  const bytes = fields.reduce((sum, [, value]) => sum + (value.size ?? 0), 0);
  try {
    return await fetch(action, {
      method: "POST", body, redirect: "manual", signal: AbortSignal.timeout(patience + bytes / pace),
      headers: { "Idempotency-Key": key, "X-Axlestand-Outbox": "1" },
    });
  } catch {
    return undefined; // no line, or none long enough; whether it was done is found out by sending it again
  }
}

// flush sends what waits. It is safe to call at any time: one page sends at a time, and one loop within it.
function flush() {
  clearTimeout(timer);
  if (outside) return update();
  sending ??= flushAll().catch(() => false).then(async (all) => {
    sending = undefined;
    wait = all ? 0 : Math.min(30000, wait * 2 || 2000);
    if (await update() > 0 && !signedOut) timer = setTimeout(flush, wait);
  });
  return sending;
}

// flushAll says whether nothing waits any more.
async function flushAll() {
  let answered = 0;
  for (;;) {
    const next = (await store.all()).find((o) => o.state === "waiting");
    if (!next) break;
    if (!await store.hold(page)) return false;
    const held = setInterval(() => store.hold(page).catch(() => {}), 8000); // a photo may take minutes
    const answer = await send(next);
    clearInterval(held);
    if (!await note(next, answer)) {
      await store.release(page);
      return false;
    }
    answered++;
    news?.postMessage("changed");
    await update();
  }
  signedOut = false;
  await store.release(page);
  if (answered) refresh();
  return true;
}

// note keeps what an answer says of an operation; false when it is to be sent again.
async function note(operation, answer) {
  const status = answer?.status ?? 0;
  signedOut = status === 401;
  if (status === 204) {
    unseen.push({ ...operation, sent: performance.now() });
    await store.remove(operation.n);
    return true;
  }
  if (status < 400 || status >= 500 || [401, 408, 421, 425, 429].includes(status)) return false;
  await store.put({ ...operation, state: "refused", status, answer: await words(answer) });
  return true;
}

// words are what the server says of a refusal: as data, or on a page with its fields.
async function words(answer) {
  if (!answer || answer.status < 400) return { message: "There is no connection.", fields: {} };
  const text = await answer.text().catch(() => "");
  try {
    return JSON.parse(text);
  } catch {
    const there = new DOMParser().parseFromString(text, "text/html").querySelector("main");
    const all = (selector) => [...there?.querySelectorAll(selector) ?? []].map((e) => e.textContent.trim());
    const said = [".formerrors li", ".error", "[role=alert], .problem dd"].map(all).find((found) => found.length > 0) ?? [];
    return { message: [...new Set(said)].join(" ") || `It was refused (${answer.status}).`, fields: {} };
  }
}

// update shows how things stand and says how many operations wait.
async function update() {
  const operations = await store.all().catch(() => []);
  const waiting = operations.filter((o) => o.state === "waiting");
  rows.apply([...unseen, ...waiting]);
  show.counts(waiting.length, operations.filter((o) => o.state === "refused"), signedOut);
  return waiting.length;
}

shows.again = async (operation) => {
  await store.put({ ...operation, state: "waiting", answer: undefined });
  await flush();
};
shows.drop = async (operation) => {
  await store.remove(operation.n);
  news?.postMessage("changed");
  await update();
};
shows.putBack = async (operation) => {
  await store.put(operation);
  await update();
};

// A page outside the garage, such as the sign-in, can only say what waits.
const outside = document.body.classList.contains("bare") && !document.querySelector("[data-step]");
const soon = () => { wait = 0; flush(); };
if (window.indexedDB) {
  news?.addEventListener("message", update);
  window.addEventListener("online", soon);
  window.addEventListener("pageshow", soon);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) soon(); });
  document.addEventListener("refreshed", (event) => {
    unseen = unseen.filter((o) => o.sent > event.detail);
    update();
  });
  flush();
}
