// Shows what is done on a card elsewhere. The server says how often the card has changed: on a stream, or when asked, where streams
// do not come through. What differs from the count of this page is reason to bring it up to date. Only a page that is looked at
// listens: browsers keep few connections open to one server.
import { refresh } from "./refresh.js";

const silence = 40000; // longer than a stream that stands is silent
const first = 3000; // for the first word of a stream
const between = 1500; // between questions
const again = 60000; // until a stream is tried once more

let source;
let asking; // the next question
let patience; // runs out when the stream says nothing

const card = () => document.querySelector("[data-live]");

function heard(count) {
  if (card() && count !== card().dataset.count) refresh();
}

function stop() {
  source?.close();
  clearTimeout(asking);
  clearTimeout(patience);
  source = asking = undefined;
}

function listen() {
  stop();
  if (document.hidden || !card()) return;
  source = new EventSource(card().dataset.live);
  source.addEventListener("message", (event) => {
    clearTimeout(asking);
    clearTimeout(patience);
    asking = undefined;
    patience = setTimeout(listen, silence);
    heard(event.data);
  });
  source.addEventListener("error", () => {
    clearTimeout(patience);
    patience = setTimeout(listen, again);
    ask();
  });
  patience = setTimeout(() => {
    ask();
    patience = setTimeout(listen, again);
  }, first);
}

// ask asks from time to time, until the stream says something.
function ask() {
  asking ??= setTimeout(async () => {
    const answer = await fetch(card().dataset.ask, { redirect: "manual", signal: AbortSignal.timeout(10000) }).catch(() => undefined);
    if (asking === undefined) return; // the stream was quicker
    if (answer?.status === 200) heard(await answer.text());
    asking = undefined;
    if (!document.hidden && card()) ask();
  }, between);
}

if (card()) {
  listen();
  document.addEventListener("visibilitychange", listen);
  window.addEventListener("online", listen);
  window.addEventListener("pagehide", stop);
  window.addEventListener("pageshow", (event) => { if (event.persisted) listen(); });
}
