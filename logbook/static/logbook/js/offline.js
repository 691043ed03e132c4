// Stands in for a page that cannot be reached: puts the kept one in its place, and then wires it like any other.
import { keptShown } from "./phone/shown.js";

export const shown = keptShown(document).finally(() => import("./app.js"));
