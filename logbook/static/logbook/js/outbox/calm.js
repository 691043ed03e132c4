// Shows again what has changed, however fast it changes: never twice at once, and once more when it changed meanwhile.

/** @param {() => Promise<unknown>} show @returns {() => Promise<void>} */
export function calmed(show) {
  let [isShowing, isOld] = [false, false];
  return async () => {
    isOld = true;
    if (isShowing) return;
    isShowing = true;
    try {
      while (isOld) {
        isOld = false;
        await show();
      }
    } finally {
      isShowing = false;
    }
  };
}
