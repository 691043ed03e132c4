// What htmx could not send is said in words, where notices stand; what was typed stays in its boxes.

const WORDS = {
  "htmx:timeout": "Not sent: the server did not answer in time. What you typed is still here; send it again.",
  "htmx:sendError": "Not sent: the server cannot be reached. What you typed is still here; send it again.",
  "htmx:responseError": "Not done: the server could not do it. Nothing was stored; load the page again and look.",
};

/**
 * Show a notice whenever a request of htmx fails.
 * @param {Document} page
 */
export function failuresShown(page) {
  for (const [event, words] of Object.entries(WORDS)) {
    page.addEventListener(event, () => show(page, words));
  }
}

function show(page, words) {
  const notice = page.createElement("p");
  notice.className = "notice";
  notice.textContent = words;
  page.getElementById("notices").replaceChildren(notice);
}
