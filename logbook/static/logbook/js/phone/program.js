// The program that works without signal: installed quietly, and never replaced under somebody's hands.
import { box } from "../outbox/box.js";
import { make } from "../outbox/make.js";

const WORKER = "/sw.js";

/**
 * Install the worker, and offer a new version when nothing is being typed or sent.
 * @param {Document} page
 * @returns {Promise<boolean>} whether this browser has it
 */
export async function programInstalled(page) {
  const workers = page.defaultView.navigator.serviceWorker;
  const held = await workers?.register(WORKER, { scope: "/", updateViaCache: "none" }).catch(() => null);
  if (!held) return false;
  let dirty = false;
  const look = () => offered(page, held, dirty);
  page.addEventListener("input", (event) => event.target.form?.matches("[data-draft], [data-outbox]") && ((dirty = true), look()));
  held.addEventListener("updatefound", () => held.installing?.addEventListener("statechange", look));
  box.onChange(page, look);
  await look();
  return true;
}

async function offered(page, held, dirty) {
  const shown = page.querySelector("[data-new-version]");
  const sending = (await box.all()).some(({ state }) => state === "sending");
  const may = held.waiting && page.defaultView.navigator.serviceWorker.controller && !dirty && !sending;
  if (!may) return shown?.remove();
  if (shown) return;
  const line = make(page, "p", "New version ready. ", { className: "notice", role: "status" });
  line.dataset.newVersion = "";
  const act = make(page, "button", "Load it", { type: "button", className: "act" });
  act.addEventListener("click", () => taken(page, held));
  line.append(act);
  page.getElementById("work").prepend(line);
}

function taken(page, held) {
  page.defaultView.navigator.serviceWorker.addEventListener("controllerchange", () => page.location.reload(), { once: true });
  held.waiting?.postMessage("take over");
}
