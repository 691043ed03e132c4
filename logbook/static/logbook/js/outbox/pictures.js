// The pictures of what a verdict that was computed on this phone is about, each under its own sentence.
import { calledFirst } from "./called.js";
import { engineTypeRead } from "../judge/charts.js";
import { excursionPicture } from "../picture/excursion.js";
import { excursionWords } from "./said.js";

const MOST = 3;

/**
 * @param {Document} page @param {import("./said.js").Judging} judging
 * @param {object[]} excursions
 * @returns {Element[]} of those that call for something first; none of one whose peak or time is not known
 */
export function picturesOf(page, judging, excursions) {
  const type = engineTypeRead(judging.document, judging.units);
  return calledFirst(excursions).map((excursion) => pictureOf(page, judging, type, excursion)).filter(Boolean).slice(0, MOST);
}

function pictureOf(page, judging, type, excursion) {
  const chart = type.charts.find(({ name }) => name === excursion.chart);
  const { label } = type.channels.get(chart.channel);
  const unit = judging.symbols[chart.unit] ?? chart.unit;
  const [words] = excursionWords(judging, [excursion]);
  const drawn = excursionPicture(page, chart, excursion, { title: `${label}: one excursion on the chart ${chart.name}`, words, unit });
  if (!drawn) return null;
  const figure = page.createElement("figure");
  const caption = page.createElement("figcaption");
  const how = excursion.evidence === "reading" ? "As it was written down." : "As it was recorded.";
  caption.textContent = `${label}, ${unit}: ${chart.name}. ${how}`;
  figure.append(caption, drawn);
  return figure;
}
