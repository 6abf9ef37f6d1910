// Where the page begins: the worker and the first picture at once, and the rest of the page while they load.

import "./work/first-picture";
import { startEarly } from "./engine/launch";

startEarly();
void import("./main");
