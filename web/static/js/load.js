// Fills in parts of a page that take a while to work out. Until then, and without the script, a link leads to them.
for (const place of document.querySelectorAll("[data-load]")) fill(place);

async function fill(place) {
  const answer = await fetch(place.dataset.load).catch(() => undefined);
  if (!answer?.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const part = page.getElementById(place.id);
  if (part) place.replaceWith(document.importNode(part, true));
}
