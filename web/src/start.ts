// Where the page begins: the worker at once, and the rest of the page while it loads.

import { startEarly } from "./worker";

startEarly();
void import("./main");
