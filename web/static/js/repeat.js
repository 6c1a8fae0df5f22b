// Adds and takes off rows of a repeated group of fields. A row taken off stays in sight, unsent, until put back.
const settle = (root) => root.querySelectorAll("[data-script]").forEach((part) => { part.hidden = false; });

for (const group of document.querySelectorAll("[data-repeat]")) settle(group);

document.addEventListener("click", (event) => {
  const add = event.target.closest("[data-add]");
  if (add) addRow(add.closest("[data-repeat]"));
  const remove = event.target.closest("[data-remove]");
  if (remove) toggle(remove);
});

function addRow(group) {
  const index = group.dataset.next++;
  const holder = document.createElement("template");
  holder.innerHTML = group.querySelector("template").innerHTML.replaceAll("__i__", index);
  settle(holder.content);
  const row = holder.content.querySelector("[data-row]");
  group.querySelector("[data-rows]").append(row);
  row.querySelector("input, select, textarea")?.focus();
}

function toggle(button) {
  const row = button.closest("[data-row]");
  const gone = row.classList.toggle("gone");
  for (const field of row.querySelectorAll("input, select, textarea")) field.disabled = gone;
  [button.textContent, button.dataset.putBack] = [button.dataset.putBack, button.textContent];
}
