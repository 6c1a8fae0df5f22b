// Over https, cards that were open once open again without a connection, as they last were. What is done on them is the
// outbox's business: only what is asked for is answered here, nothing that changes something.
const name = "axlestand-1";
const patience = 5000;
const mostCards = 40;
const isCard = (url) => /\/jobs\/\d+\/card$/.test(url.pathname);
const isFixed = (url) => url.pathname.startsWith("/static/") || /^\/photos\/\d+\/small$/.test(url.pathname);

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const old of await caches.keys()) if (old !== name) await caches.delete(old);
  await self.clients.claim();
})()));

self.addEventListener("message", (event) => event.waitUntil((async () => {
  const cache = await caches.open(name);
  for (const address of event.data.keep ?? []) {
    const url = new URL(address);
    if (url.origin !== location.origin) continue;
    if (isFixed(url) && !await cache.match(address)) await fixed(address).catch(() => {});
    if (isCard(url)) await card(new Request(url.pathname)).catch(() => {});
  }
})()));

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  if (event.request.method !== "GET") {
    if (url.pathname === "/signout") event.waitUntil(caches.delete(name));
    return;
  }
  if (isFixed(url)) event.respondWith(fixed(event.request));
  else if (isCard(url) && !url.searchParams.has("part")) event.respondWith(soonest(event));
  else if (event.request.mode === "navigate") event.respondWith(fetch(event.request).catch(away));
});

// fixed is what never changes under its address.
async function fixed(request) {
  const cache = await caches.open(name);
  const kept = await cache.match(request);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok) await cache.put(request, answer.clone());
  return answer;
}

// soonest is the card from the server, or as it was kept when no answer comes in time.
async function soonest(event) {
  const asked = card(event.request);
  event.waitUntil(asked.catch(() => {}));
  const late = new Promise((resolve) => setTimeout(resolve, patience));
  const answer = await Promise.race([asked.catch(() => undefined), late]);
  return answer ?? await keptCard(event.request) ?? asked.catch(away);
}

const place = (request) => new URL(request.url).pathname;

const keptCard = async (request) => (await caches.open(name)).match(place(request));

async function card(request) {
  const answer = await fetch(request);
  const cache = await caches.open(name);
  // who was signed out sees nothing that was kept
  if (answer.type === "opaqueredirect" || answer.redirected || answer.status === 401 || answer.status === 404) await cache.delete(place(request));
  else if (answer.ok) {
    await cache.delete(place(request)); // put last: the first of the cache is the oldest
    await cache.put(place(request), answer.clone());
    await tidy(cache);
  }
  return answer;
}

async function tidy(cache) {
  const cards = (await cache.keys()).filter((request) => isCard(new URL(request.url)));
  for (const old of cards.slice(0, -mostCards)) await cache.delete(old);
}

// away is the page for what cannot be had now, with the cards that can.
async function away() {
  const cards = (await (await caches.open(name)).keys()).filter((request) => isCard(new URL(request.url))).reverse();
  const links = await Promise.all(cards.map(async (request) => {
    const title = /<title>([^<]*)<\/title>/.exec(await (await keptCard(request)).text())?.[1] ?? place(request);
    return `<li><a href="${place(request)}">${title}</a></li>`;
  }));
  return new Response(`<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>No connection</title><h1>No connection</h1><p>This page cannot be had now. What you did is kept on this device and sent later.</p>
${links.length > 0 ? `<h2>Cards that open without it</h2><ul>${links.join("")}</ul>` : ""}`, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
