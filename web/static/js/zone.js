// Proposes the device's own time zone where none has been chosen yet.
for (const input of document.querySelectorAll("input[data-zone]")) {
  const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (own && (input.value === "" || input.value === "UTC")) {
    input.value = own;
  }
}
