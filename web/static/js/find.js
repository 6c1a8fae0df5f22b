// Finds while it is typed: the list below the search box is the server's, asked for anew a moment after each key. On a page
// with such a list a letter typed anywhere goes into the box.
const box = document.querySelector("form[role=search] input");
const list = document.getElementById("found");

if (box && list) {
  let asked = 0;
  let wait;
  box.addEventListener("input", () => {
    clearTimeout(wait);
    wait = setTimeout(find, 60);
  });
  document.addEventListener("keydown", (e) => {
    const free = document.activeElement === document.body || document.activeElement === null;
    if (free && e.key.length === 1 && e.key !== " " && !e.ctrlKey && !e.metaKey && !e.altKey) box.focus();
  });

  async function find() {
    const address = new URL(box.form.action);
    if (box.value.trim() !== "") address.searchParams.set(box.name, box.value);
    const mine = ++asked;
    const answer = await fetch(address).catch(() => undefined);
    if (!answer?.ok || mine !== asked) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (mine !== asked) return;
    for (const part of ["#found", ".head .sub"]) {
      const [old, fresh] = [document.querySelector(part), page.querySelector(part)];
      if (old && fresh) old.replaceChildren(...fresh.childNodes);
    }
    history.replaceState(history.state, "", address);
  }
}
