// Wires the page; everything else works without it.
import { besidesOpened } from "./beside.js";
import { clocksSent } from "./signing.js";
import { draftsKept } from "./draft.js";
import { eventsTimed } from "./timer.js";
import { failuresShown } from "./failures.js";
import { numbersEchoed } from "./echo.js";
import { phoneStarted } from "./phone/start.js";
import { rowsKeyed } from "./rows.js";
import { sheetsWalked } from "./steps.js";
import { themeChosen } from "./theme.js";
import { timesTaken } from "./timed.js";

const isKnown = phoneStarted(document);
failuresShown(document);
numbersEchoed(document);
themeChosen(document);
rowsKeyed(document);
besidesOpened(document);
draftsKept(document);
clocksSent(document);
timesTaken(document);
sheetsWalked(document);
eventsTimed(document);

// What was pressed meanwhile is held back until it is known who writes, and sent now.
isKnown.finally(() => window.dispatchEvent(new Event("embermark-ready")));
