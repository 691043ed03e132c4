// The order in which excursions are told.

/** @param {object[]} excursions @returns {object[]} those that call for something first */
export function calledFirst(excursions) {
  return [...excursions].sort((one, other) => Boolean(other.area_possible) - Boolean(one.area_possible));
}
