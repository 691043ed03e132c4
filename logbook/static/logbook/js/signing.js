// The clock of the signer's device, sent with a signature; the server's own stands beside it.

/** @param {Document} page */
export function clocksSent(page) {
  page.addEventListener("submit", (event) => {
    const box = event.target.querySelector("[data-clock]");
    if (box) box.value = new Date().toISOString();
  });
}
