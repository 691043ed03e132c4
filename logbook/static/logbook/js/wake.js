// The screen is asked to stay on while events are timed; whether it does is said in words, and the times never hang on it.

const STAYS = "Screen stays on";
const MAY_SLEEP = "Screen may sleep - times are still kept";

/**
 * Ask for the screen to stay on, now and whenever the page comes back into view.
 * @param {Document} page
 * @param {(words: string) => void} say
 */
export async function screenKeptOn(page, say) {
  const ask = async () => {
    try {
      const lock = await page.defaultView.navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => say(MAY_SLEEP));
      say(STAYS);
    } catch {
      say(MAY_SLEEP);
    }
  };
  page.addEventListener("visibilitychange", () => page.visibilityState === "visible" && ask());
  await ask();
}
