// Beside a box for a number: the number as the server will understand it, with its unit.

const PLAIN = /^[+\-\u2212]?\d*(?:[.,]\d+)?$/;
const EITHER_WAY = /^[+\-\u2212]?0*[1-9]\d{0,2}[.,]\d{3}$/;

/**
 * Echo every box for a number as it is typed.
 * @param {Document} page
 */
export function numbersEchoed(page) {
  page.addEventListener("input", (event) => {
    const box = event.target.closest(".boxed");
    if (box) echo(box, event.target);
  });
}

function echo(box, input) {
  const unit = box.querySelector(".unit")?.textContent ?? "";
  const line = box.nextElementSibling?.classList.contains("echo") ? box.nextElementSibling : added(box);
  line.textContent = words(input.value.trim(), unit, input.dataset);
}

function added(box) {
  const line = box.ownerDocument.createElement("p");
  line.className = "echo";
  box.after(line);
  return line;
}

function words(typed, unit, { last, since }) {
  if (!/\d/.test(typed) || !PLAIN.test(typed) || EITHER_WAY.test(typed)) return "";
  const number = typed.replace(",", ".").replace("\u2212", "-");
  const clock = unit === "h" ? ` (${hoursAndMinutes(Number(number))})` : "";
  return `Read as ${number} ${unit}`.trim() + clock + difference(number, last, unit, since);
}

// Beside the last reading: how far this one is from it, to as many decimals as the longer of the two.
function difference(number, last, unit, since) {
  if (last === undefined) return "";
  const decimals = Math.max(...[number, last].map((text) => (text.split(".")[1] ?? "").length));
  const far = (Number(number) - Number(last)).toFixed(decimals);
  return `, ${far < 0 ? "\u2212" : "+"}${far.replace("-", "")} ${unit} since ${since}`;
}

function hoursAndMinutes(hours) {
  const minutes = Math.round(hours * 60);
  return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}
