// Finding places in sorted arrays, and joining two of them.

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

/**
 * The distinct values of two sorted arrays, sorted.
 * @param {Float64Array} one
 * @param {Float64Array} other
 * @returns {Float64Array}
 */
export function merged(one, other) {
  const joined = new Float64Array(one.length + other.length);
  let i = 0;
  let k = 0;
  let kept = 0;
  while (i < one.length || k < other.length) {
    const isOne = k === other.length || (i < one.length && one[i] <= other[k]);
    const value = isOne ? one[i++] : other[k++];
    if (kept === 0 || value !== joined[kept - 1]) joined[kept++] = value;
  }
  return joined.subarray(0, kept);
}
