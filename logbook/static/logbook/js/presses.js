// The rules of the event timer: what a list of presses means. Nothing here touches the page.
import { clock } from "./clock.js";

const MARKS = ["starter", "light_off", "idle"];
const TAKE_BACK_S = 10;

/** What presses mean; a record is `{started, presses: [{key, wall, mono, boot}], takenBack}`. */
export const presses = {
  begun: (stamp) => ({ started: stamp, presses: [], takenBack: 0 }),

  with: (record, key, stamp) => ({ ...record, presses: [...record.presses, { key, ...stamp }] }),

  /** The record without its last press, while that is less than 10 s old; otherwise the same record. */
  takenBack(record, now) {
    if (!presses.mayTakeBack(record, now)) return record;
    return { ...record, presses: record.presses.slice(0, -1), takenBack: record.takenBack + 1 };
  },

  mayTakeBack(record, now) {
    const last = record.presses.at(-1);
    return last !== undefined && clock.between(last, now).seconds <= TAKE_BACK_S;
  },

  /** The press by which a key runs, or undefined while it does not. */
  running(record, key) {
    const own = record.presses.filter((press) => press.key === key);
    return own.length % 2 ? own.at(-1) : undefined;
  },

  /** Every stretch that has ended: key, both presses, seconds and how far the clocks were apart. */
  stretches(record) {
    const open = {};
    const ended = [];
    for (const press of record.presses.filter(({ key }) => !MARKS.includes(key))) {
      const from = open[press.key];
      if (from) ended.push({ key: press.key, from, to: press, ...clock.between(from, press) });
      open[press.key] = from ? undefined : press;
    }
    return ended;
  },

  /** The part of the run in which a press came, as the marks pressed before it tell. */
  regime(record, press) {
    const before = record.presses.slice(0, record.presses.findIndex((p) => p.wall === press.wall && p.key === press.key));
    const last = before.findLast(({ key }) => MARKS.includes(key));
    return last && last.key !== "idle" ? "starting" : "running";
  },

  /** The chart of a key that judges a press: the one for that part of the run, else the first. */
  chart(record, press, charts) {
    const regime = presses.regime(record, press);
    return (charts.find(({ regimes }) => !regimes || regimes.includes(regime)) ?? charts[0]).name;
  },

  /** What the run's sheet takes over: seconds to the tenth by chart, marks, and how many presses were taken back. */
  handed(record, chartsOf) {
    return {
      stretches: presses.stretches(record).map(({ key, from, to, seconds, apart }) => ({
        chart: presses.chart(record, from, chartsOf[key]),
        began_at: moment(from),
        ended_at: moment(to),
        seconds: Math.round(seconds * 10) / 10,
        clocks_apart_s: apart === null ? null : Math.round(apart * 1000) / 1000,
      })),
      marks: record.presses.filter(({ key }) => MARKS.includes(key)).map((press) => ({ name: press.key, at: moment(press) })),
      taken_back: record.takenBack,
    };
  },
};

function moment(stamp) {
  const away = -new Date(stamp.wall).getTimezoneOffset();
  const local = new Date(stamp.wall + away * 60000).toISOString().slice(0, -1);
  const part = (minutes) => String(minutes).padStart(2, "0");
  const size = Math.abs(away);
  return `${local}${away < 0 ? "-" : "+"}${part(Math.floor(size / 60))}:${part(size % 60)}`;
}
