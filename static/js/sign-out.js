// Whoever signs out leaves nothing of theirs in this browser.

import { forgetTicks } from "./kept-ticks.js";

const WAYS_OUT = "form[action$='/sign-out/'], form[action$='/turn/forgotten/']";

document.addEventListener("submit", (event) => event.target.matches(WAYS_OUT) && forgetTicks());
