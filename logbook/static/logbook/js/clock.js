// The time between two presses: the difference of what was stored at each, by both clocks of the device; never ticks.

const APART_S = 0.5;

/** Stamps taken now, and what lies between two of them. */
export const clock = {
  /**
   * @param {Window} view
   * @returns {{wall: number, mono: number, boot: number}} time of day, time since the page was opened, and when it was [ms]
   */
  now: (view) => ({ wall: view.Date.now(), mono: view.performance.now(), boot: view.performance.timeOrigin }),

  /**
   * The longer of what the two clocks say, because which one is right is not known.
   * @param {{wall: number, mono: number, boot: number}} from
   * @param {{wall: number, mono: number, boot: number}} to
   * @returns {{seconds: number, apart: number | null}} [s]; apart is null where the page was loaded again in between
   */
  between(from, to) {
    const wall = (to.wall - from.wall) / 1000;
    if (from.boot !== to.boot) return { seconds: Math.max(wall, 0), apart: null };
    const mono = (to.mono - from.mono) / 1000;
    return { seconds: Math.max(wall, mono, 0), apart: wall - mono };
  },

  /** @param {number | null} apart [s] @returns {boolean} whether the clocks disagree by more than can be passed over */
  disagree: (apart) => apart !== null && Math.abs(apart) > APART_S,
};
