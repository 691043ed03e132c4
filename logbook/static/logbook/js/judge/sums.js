// Sums that lose nothing that matters: a second number carries what the first rounds away.

/**
 * The sum of an array.
 * @param {Float64Array} values
 * @returns {number}
 */
export function sumOf(values) {
  let [total, lost] = [0, 0];
  for (let k = 0; k < values.length; k++) {
    const next = total + values[k];
    const part = next - total;
    lost += total - (next - part) + (values[k] - part);
    total = next;
  }
  return total + lost;
}

/**
 * Add to one place of a pair of arrays, which together hold each number to twice the digits.
 * @param {Float64Array} totals
 * @param {Float64Array} lost
 * @param {number} k
 * @param {number} value
 */
export function addAt(totals, lost, k, value) {
  const total = totals[k];
  const next = total + value;
  const part = next - total;
  totals[k] = next;
  lost[k] += total - (next - part) + (value - part);
}

/** A running sum. */
export class Tally {
  #total = 0;
  #lost = 0;

  /** @param {number} value */
  add(value) {
    const next = this.#total + value;
    const part = next - this.#total;
    this.#lost += this.#total - (next - part) + (value - part);
    this.#total = next;
  }

  /** @returns {number} */
  get sum() {
    return this.#total + this.#lost;
  }
}
