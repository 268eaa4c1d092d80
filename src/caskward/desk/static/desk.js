// What every page starts: keys beside the number pad, live updates, readings that wait for the network.
import { startKeys } from "./keys.js";
import { startLive } from "./live.js";
import { startQueue } from "./queue.js";
import { startForms } from "./forms.js";

startKeys();
startForms();
startLive();
startQueue();
