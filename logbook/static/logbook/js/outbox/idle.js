// What is done for later comes after what is looked at now.

const QUIET_MS = 1500;

/** @param {Document} page @returns {Promise<void>} fulfilled when the page is there and has nothing else to do */
export async function idle(page) {
  const view = page.defaultView;
  if (page.readyState !== "complete") await new Promise((go) => view.addEventListener("load", go, { once: true }));
  const soon = view.requestIdleCallback?.bind(view) ?? ((go) => view.setTimeout(go, QUIET_MS));
  await new Promise((go) => soon(go, { timeout: QUIET_MS }));
}
