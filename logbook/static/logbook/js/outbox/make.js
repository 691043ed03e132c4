// One element with words in it.

/**
 * @param {Document} page @param {string} tag @param {string} words @param {Record<string, string|number>} facts properties, and the role
 * @returns {HTMLElement}
 */
export function make(page, tag, words, { role, ...facts }) {
  const made = Object.assign(page.createElement(tag), facts);
  if (role) made.setAttribute("role", role);
  if (words) made.textContent = words;
  return made;
}
