// Light for the ramp, dark for the night shift: the device's own choice until a person makes another.

const YEAR_S = 365 * 24 * 3600;

/**
 * Offer the other theme, and keep what was chosen on this device.
 * @param {Document} page
 */
export function themeChosen(page) {
  const button = page.querySelector("[data-theme-choice]");
  if (!button) return;
  button.hidden = false;
  name(button);
  button.addEventListener("click", () => choose(page, button));
}

function choose(page, button) {
  const theme = other(page);
  page.documentElement.dataset.theme = theme;
  page.cookie = `theme=${theme}; path=/; max-age=${YEAR_S}; samesite=lax`;
  name(button);
}

function name(button) {
  button.textContent = `Use the ${other(button.ownerDocument)} theme`;
}

function other(page) {
  const device = page.defaultView.matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
  return (page.documentElement.dataset.theme ?? device) === "dark" ? "light" : "dark";
}
