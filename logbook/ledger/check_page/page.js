// The page: what is chosen is read here, in this browser, and goes nowhere.

const said = document.getElementById("said");

function say(kind, ...lines) {
  said.className = kind;
  said.replaceChildren(
    ...lines.map((line) => Object.assign(document.createElement("p"), { textContent: line })),
  );
}

function sayReport({ manifest, checkpoint, entries }, isPinned) {
  const hint = isPinned
    ? "That is the key that you gave."
    : "That is the package's own word: ask the operator for its key, and give it above.";
  say(
    "good",
    `Everything matches: ${manifest.title}, packed ${manifest.made_at} by ${manifest.operator}.`,
    `${entries} entries stand in the ledger ${checkpoint.origin}, as it was at ${checkpoint.size} entries.`,
    `Sealed and signed with the key ${manifest.key}. ${hint}`,
  );
}

async function run(form) {
  const { files } = form.elements.package;
  if (!files.length) {
    say("bad", "Choose a package first.");
    return;
  }
  const key = form.elements.key.value;
  const kept = form.elements.checkpoint.files[0];
  say("busy", "Checking…");
  try {
    const older = kept ? await kept.text() : "";
    sayReport(await check(files[0], { key, older, tell: (line) => say("busy", line) }), key !== "");
  } catch (error) {
    const words = error instanceof Mismatch ? error.message : `The package is not of the form that it says: ${error}.`;
    say("bad", "DOES NOT MATCH", words);
  }
}

document.getElementById("ask").addEventListener("submit", (event) => {
  event.preventDefault();
  run(event.target);
});
