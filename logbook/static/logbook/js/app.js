// Wires the page; everything else works without it.
import { failuresShown } from "./failures.js";
import { numbersEchoed } from "./echo.js";
import { rowsKeyed } from "./rows.js";
import { themeChosen } from "./theme.js";

failuresShown(document);
numbersEchoed(document);
themeChosen(document);
rowsKeyed(document);
