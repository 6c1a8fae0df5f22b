// A second tap within 400 ms sends nothing, and a sent form's buttons rest until the page is left or shown again.
const pause = 400;
const sent = new WeakMap();

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-guard]") || event.defaultPrevented) return;
  if (form.dataset.sent || event.timeStamp - (sent.get(form) ?? -pause) < pause) {
    event.preventDefault();
    return;
  }
  sent.set(form, event.timeStamp);
  form.dataset.sent = "yes";
  // after the browser has collected the fields: a disabled button would not send its value
  setTimeout(() => rest(form, true));
  // the answer may never come on a bad line: let the owner try again
  setTimeout(() => release(form), 10000);
});

window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach(release));

function release(form) {
  delete form.dataset.sent;
  rest(form, false);
}

function rest(form, yes) {
  for (const button of form.elements) {
    if (button.type !== "submit" || button.disabled === yes) continue;
    if (yes) button.dataset.rests = "yes";
    else if (!button.dataset.rests) continue;
    else delete button.dataset.rests;
    button.disabled = yes;
  }
}
