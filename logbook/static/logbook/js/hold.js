// Holds every sheet that is sent before the page's scripts have taken over, and sends it then as it was to be sent;
// holds the press of a button that is nothing without them alike;
// marks what is typed before that, so that no draft is brought back over it, and has it heard once they are there.
// A classic script at the head, because modules come after the page is there and a finger may be faster.
(() => {
  const READY = "embermark-ready";
  const held = new Map();
  const pressed = new Set();
  const isShell = document.documentElement.dataset.shell !== undefined;

  const hold = (event) => {
    event.preventDefault();
    event.stopImmediatePropagation();
    held.set(event.target, event.submitter);
  };

  const press = (event) => {
    const button = event.target.closest("[data-waits]");
    if (!button) return;
    event.stopImmediatePropagation();
    pressed.add(button);
  };

  const touch = ({ target }) => target.form && (target.dataset.touched = "");

  // Pressed, and not just sent: who wired the sheet since has to see which button it was.
  const again = (sheet, submitter) => {
    if (submitter) submitter.click();
    else if (sheet.isConnected) sheet.requestSubmit();
  };

  const release = () => {
    window.removeEventListener("submit", hold, true);
    window.removeEventListener("input", touch, true);
    window.removeEventListener("click", press, true);
    document.querySelectorAll("[data-touched]").forEach((box) => {
      delete box.dataset.touched;
      box.dispatchEvent(new Event("input", { bubbles: true }));
    });
    held.forEach((submitter, sheet) => again(sheet, submitter));
    held.clear();
    pressed.forEach((button) => button.click());
    pressed.clear();
  };

  // Others wire themselves when the page has been read, and are waited for too.
  const ready = () => {
    if (document.readyState === "complete" || isShell) return release();
    document.addEventListener("DOMContentLoaded", () => setTimeout(release), { once: true });
  };

  window.addEventListener("submit", hold, true);
  window.addEventListener("input", touch, true);
  window.addEventListener("click", press, true);
  window.addEventListener(READY, ready, { once: true });
  // Scripts that never came are not waited for; without signal there is nobody else to take a sheet.
  if (!isShell) window.addEventListener("load", release, { once: true });
})();
