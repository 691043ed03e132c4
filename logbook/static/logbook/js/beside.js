// The panel beside a list: at a desk a row opens into it, under an address of its own; on a phone a row goes to its page.
const DESK = "(min-width: 64rem)";

class Beside {
  constructor(page, place) {
    this.page = page;
    this.place = place;
    this.window = page.defaultView;
  }

  /** The link of the row that stands open, if it is on this page of the list. */
  get current() {
    return this.page.querySelector('[data-beside][aria-current="true"]');
  }

  get isOpen() {
    return this.place.childElementCount > 0;
  }

  linkOf(key) {
    return this.page.querySelector(`[data-beside-key="${CSS.escape(key)}"]`);
  }

  /** Load a panel, name its row, and move the focus to its heading. */
  async show(address, link) {
    this.wanted = address;
    await this.window.htmx.ajax("GET", address, { target: this.place });
    // Somebody went on, or closed it, while it was on its way.
    if (this.wanted !== address) return this.wanted || this.place.replaceChildren();
    this.current?.removeAttribute("aria-current");
    link?.setAttribute("aria-current", "true");
    this.page.getElementById("beside-title")?.focus();
  }

  open(link) {
    const address = new URL(link.dataset.beside, this.window.location);
    this.window.history.pushState({ beside: true }, "", this.window.location.pathname + address.search);
    this.show(address.href, link);
  }

  /** Empty the panel, and give the focus back to the row that it was opened from. */
  close() {
    this.wanted = "";
    const link = this.current;
    link?.removeAttribute("aria-current");
    this.place.replaceChildren();
    link?.focus();
  }

  closeByHand() {
    const address = new URL(this.window.location);
    address.searchParams.delete("beside");
    this.window.history.pushState({ beside: true }, "", address.pathname + address.search);
    this.close();
  }

  /** Show what the address asks for, after going back or on. */
  follow() {
    const key = new URL(this.window.location).searchParams.get("beside");
    if (!key) return this.close();
    const link = this.linkOf(key);
    return link ? this.show(link.dataset.beside, link) : this.window.location.reload();
  }
}

function isPlain(event) {
  return !(event.defaultPrevented || event.button || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey);
}

/**
 * Open the rows of a list into the panel beside it.
 * @param {Document} page
 */
export function besidesOpened(page) {
  const place = page.getElementById("beside");
  const desk = page.defaultView.matchMedia(DESK);
  if (!place) return;
  const beside = new Beside(page, place);
  page.addEventListener("click", (event) => {
    if (!desk.matches || !isPlain(event)) return;
    const link = event.target.closest("[data-beside]");
    if (link) beside.open(link);
    else if (event.target.closest("[data-beside-closes]")) beside.closeByHand();
    else return;
    event.preventDefault();
  });
  page.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && desk.matches && beside.isOpen) beside.closeByHand();
  });
  page.defaultView.addEventListener("popstate", () => beside.follow());
  const asked = place.querySelector("[data-beside-src]");
  if (asked && desk.matches) beside.show(asked.dataset.besideSrc, beside.current);
}
