// What a device did not do with a passkey is said in words, where notices stand.

const WORDS = {
  NotAllowedError: "No passkey was used: it was put off, or took too long. Try again, or use your password.",
  InvalidStateError: "This device has a passkey for this account already.",
  SecurityError: "Passkeys need an address that begins with https, or this machine itself.",
};
const OTHERWISE = "This browser could not use a passkey. Use your password.";

/**
 * Show a notice whenever the library of passkeys reports a failure.
 * @param {Document} page
 */
export function passkeyFailuresShown(page) {
  page.addEventListener("allauth.error", (event) => {
    event.preventDefault();
    const notice = page.createElement("p");
    notice.className = "notice";
    notice.textContent = WORDS[event.detail.exception?.name] ?? OTHERWISE;
    page.getElementById("notices").replaceChildren(notice);
  });
}

passkeyFailuresShown(document);
