// What browsers allow over https alone: cards that open without a connection, and a screen that stays on beside the lift.
if (isSecureContext && location.protocol === "https:") {
  keepCards();
  keepAwake();
}

async function keepCards() {
  if (!navigator.serviceWorker) return;
  await navigator.serviceWorker.register("/worker.js").catch(() => undefined);
  const { active } = await navigator.serviceWorker.ready;
  const loaded = performance.getEntriesByType("resource").map((entry) => entry.name).filter((name) => name.includes("/static/"));
  active.postMessage({ keep: [...loaded, ...document.querySelector("[data-step]") ? [location.href] : []] });
}

function keepAwake() {
  let lock;
  const ask = async () => {
    if (document.hidden || !document.querySelector("[data-step]") || lock && !lock.released) return;
    lock = await navigator.wakeLock?.request("screen").catch(() => undefined);
  };
  document.addEventListener("visibilitychange", ask);
  document.addEventListener("pointerup", ask);
  ask();
}
