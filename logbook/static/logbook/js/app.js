// Wires the page; everything else works without it.
import { failuresShown } from "./failures.js";
import { numbersEchoed } from "./echo.js";

failuresShown(document);
numbersEchoed(document);
