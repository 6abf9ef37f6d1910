// Where the page begins: the worker and the first picture at once, and the rest of the page while they load.

import "./first";
import { startEarly } from "./worker";

startEarly();
void import("./main");
