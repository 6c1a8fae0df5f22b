// Counts down to the instants in data-until. They stand in the page or in the outbox, so a timer outlives the page.
const over = new WeakSet();

function tick() {
  for (const time of document.querySelectorAll("time[data-until]")) {
    const left = Math.ceil((Date.parse(time.dataset.until) - Date.now()) / 1000);
    if (Number.isNaN(left)) continue;
    const text = left > 0 ? `${words(left)} left` : `over for ${words(-left)}`;
    if (time.textContent !== text) time.textContent = text;
    time.toggleAttribute("data-over", left <= 0);
    if (left > 0) over.delete(time);
    else if (!over.has(time)) {
      over.add(time);
      if (left > -5) navigator.vibrate?.([300, 150, 300]);
    }
  }
}

// words are 9:05, or 1:09:05 with hours.
function words(seconds) {
  const two = (n) => String(n).padStart(2, "0");
  const [h, m, s] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  return h > 0 ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
}

setInterval(tick, 1000);
document.addEventListener("refreshed", tick);
tick();
