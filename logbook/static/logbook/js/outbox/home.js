// What has to be known on an iPhone or iPad, where a browser's window and the home screen are two boxes.
import { make } from "./make.js";

const PUT = "Before you first work without signal, put Embermark on the home screen: Share, then Add to Home Screen, and open it from there.";
const APART = "The browser and the home screen keep apart from each other: what is kept here is not there, and you sign in there once more. Send what is kept here before you change over.";
const ERASED = "This device erases what a site keeps in its browser after seven days without a visit.";

/**
 * @param {Document} page
 * @returns {HTMLElement[]} nothing on other devices, or where it was opened from the home screen
 */
export function homeScreen(page) {
  const { navigator } = page.defaultView;
  // An iPad calls itself a Mac, and has fingers.
  const isApple = /iPhone|iPad|iPod/.test(navigator.userAgent) || (/Macintosh/.test(navigator.userAgent) && navigator.maxTouchPoints > 1);
  const isOpenedThere = navigator.standalone === true || page.defaultView.matchMedia("(display-mode: standalone)").matches;
  if (!isApple || isOpenedThere) return [];
  const part = make(page, "div", "", { className: "notice", role: "note" });
  part.dataset.homeScreen = "";
  part.append(...[PUT, APART, ERASED].map((words) => make(page, "p", words, {})));
  return [part];
}
