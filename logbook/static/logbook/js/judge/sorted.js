// Finding places in sorted arrays.

/**
 * How many of a sorted array's values are at or below a value.
 * @param {ArrayLike<number>} values never decreasing
 * @param {number} value
 * @returns {number}
 */
export function countUpTo(values, value) {
  let low = 0;
  let high = values.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] <= value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * How many of a sorted array's values are below a value.
 * @param {ArrayLike<number>} values never decreasing
 * @param {number} value
 * @returns {number}
 */
export function countBelow(values, value) {
  let low = 0;
  let high = values.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * The distinct values of an array, sorted in place.
 * @param {Float64Array} values
 * @returns {Float64Array} a view of the same memory
 */
export function distinct(values) {
  values.sort();
  let kept = 0;
  for (let k = 0; k < values.length; k++) {
    if (kept === 0 || values[k] !== values[kept - 1]) values[kept++] = values[k];
  }
  return values.subarray(0, kept);
}
