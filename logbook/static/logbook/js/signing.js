// The clock of the signer's device, sent with a signature; the server's own stands beside it.

/** @param {Document} page */
export function clocksSent(page) {
  // A passkey sends the form by itself, so that the time of reading stands there until the time of signing replaces it.
  for (const box of page.querySelectorAll("[data-clock]")) box.value = new Date().toISOString();
  page.addEventListener("submit", (event) => {
    const box = event.target.querySelector("[data-clock]");
    if (box) box.value = new Date().toISOString();
  });
}
