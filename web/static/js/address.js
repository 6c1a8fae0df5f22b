// A link that is a secret does not stay in the address bar, nor in what the browser remembers.
const place = document.querySelector("[data-hide-address]");
if (place) history.replaceState(null, "", place.dataset.hideAddress);
