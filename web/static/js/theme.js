// Light or dark without a reload; the cookie is what the server reads for the next page.
document.addEventListener("submit", (event) => {
  const form = event.target;
  const theme = event.submitter?.value;
  if (!form.matches("[data-theme-switch]") || !theme) return;
  event.preventDefault();
  const safe = location.protocol === "https:";
  document.cookie = `${safe ? "__Secure-" : ""}theme=${theme}; path=/; max-age=31536000; samesite=lax${safe ? "; secure" : ""}`;
  if (theme === "auto") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
  for (const button of form.querySelectorAll("button")) {
    button.setAttribute("aria-pressed", String(button.value === theme));
  }
});
