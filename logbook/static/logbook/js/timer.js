// The event timer: each press is stored with its time before anything is shown, and everything shown is worked out from that.
import { clock } from "./clock.js";
import { presses } from "./presses.js";
import { screenKeptOn } from "./wake.js";

const SHOWN_EVERY_MS = 200;

/**
 * Run the timer of a page that has one.
 * @param {Document} page
 */
export function eventsTimed(page) {
  const timer = page.querySelector("[data-event-timer]");
  if (timer) new Timer(timer).open();
}

class Timer {
  #part;
  #view;
  #record;
  #said = "";

  constructor(part) {
    this.#part = part;
    this.#view = part.ownerDocument.defaultView;
  }

  open() {
    this.#record = this.#read();
    this.#at("[data-start]").addEventListener("click", () => this.#start());
    this.#part.querySelectorAll("[data-key]").forEach((key) => this.#listen(key));
    this.#at("[data-take-back]").addEventListener("click", () => this.#takeBack());
    this.#at("[data-finish]").addEventListener("click", (event) => this.#finish(event));
    this.#at("[data-start]").hidden = false;
    if (this.#record) this.#resume();
    this.#view.setInterval(() => this.#show(), SHOWN_EVERY_MS);
  }

  // The time is that of the finger's going down; a keyboard has no such moment, and its click counts.
  #listen(key) {
    key.addEventListener("pointerdown", (event) => event.button === 0 && this.#press(key));
    key.addEventListener("click", (event) => event.detail === 0 && this.#press(key));
  }

  #start() {
    this.#keep(presses.begun(clock.now(this.#view)));
    this.#say("Ready. Press when a reading rises above its limit.");
    this.#resume();
  }

  #resume() {
    this.#part.classList.add("timing");
    this.#at("[data-before]").hidden = true;
    this.#at("[data-during]").hidden = false;
    screenKeptOn(this.#part.ownerDocument, (words) => (this.#at("[data-screen]").textContent = words));
    this.#show();
  }

  #press(key) {
    const stamp = clock.now(this.#view);
    this.#keep(presses.with(this.#record, key.dataset.key, stamp));
    this.#say(`${this.#meaning(key)}, ${time(stamp)}`);
    this.#show();
  }

  #meaning(key) {
    if (key.dataset.mark !== undefined) return key.dataset.name;
    if (presses.running(this.#record, key.dataset.key)) return `${key.dataset.name}: above the limit`;
    const last = presses.stretches(this.#record).findLast((stretch) => stretch.key === key.dataset.key);
    const doubt = clock.disagree(last.apart) ? `, the two clocks ${Math.abs(last.apart).toFixed(1)} s apart` : "";
    return `${key.dataset.name}: back below after ${last.seconds.toFixed(1)} s${doubt}`;
  }

  #takeBack() {
    const last = this.#record.presses.at(-1);
    const kept = presses.takenBack(this.#record, clock.now(this.#view));
    if (kept === this.#record) return;
    this.#keep(kept);
    this.#say(`Taken back: the press at ${time(last)}`);
    this.#show();
  }

  #finish(event) {
    const still = [...this.#keys()].find((key) => presses.running(this.#record, key.dataset.key));
    if (!still) return this.#hand();
    event.preventDefault();
    this.#say(`Still above the limit: ${still.dataset.name}. Press it when it is back below.`);
    return this.#show();
  }

  #hand() {
    const charts = Object.fromEntries([...this.#keys()].map((key) => [key.dataset.key, JSON.parse(key.dataset.charts)]));
    const handed = JSON.stringify(presses.handed(this.#record, charts));
    this.#view.localStorage.setItem(`${this.#part.dataset.eventTimer}:handed`, handed);
    this.#view.localStorage.removeItem(this.#part.dataset.eventTimer);
  }

  #show() {
    if (!this.#record) return;
    const now = clock.now(this.#view);
    let seconds = "";
    for (const key of this.#keys()) {
      const since = presses.running(this.#record, key.dataset.key);
      key.setAttribute("aria-pressed", String(Boolean(since)));
      key.querySelector("[data-act]").textContent = since ? key.dataset.stop : key.dataset.go;
      key.querySelector("[data-seconds]").textContent = since ? clock.between(since, now).seconds.toFixed(1) : "";
      if (since) seconds = `${clock.between(since, now).seconds.toFixed(1)} s`;
    }
    this.#at("[data-said]").textContent = this.#said || `Timing since ${time(this.#record.started)}`;
    this.#at("[data-running]").textContent = seconds;
    this.#at("[data-shown]").classList.toggle("is-above", seconds !== "");
    this.#at("[data-take-back]").disabled = !presses.mayTakeBack(this.#record, now);
  }

  #say(words) {
    this.#said = words;
  }

  #keys() {
    return this.#part.querySelectorAll("[data-charts]");
  }

  #at(place) {
    return this.#part.querySelector(place);
  }

  #read() {
    return JSON.parse(this.#view.localStorage.getItem(this.#part.dataset.eventTimer));
  }

  #keep(record) {
    this.#record = record;
    this.#view.localStorage.setItem(this.#part.dataset.eventTimer, JSON.stringify(record));
  }
}

function time(stamp) {
  return new Date(stamp.wall).toTimeString().slice(0, 8);
}
