// The layout page: lines that follow the hand, and what the switches would come to. It works by its forms without this.

import { follow } from "./hand.js";
import { foresee } from "./switches.js";
import { keepWhy } from "./why.js";

const laying = document.querySelector(".laying");
const foreseen = foresee(document.querySelector(".switches"));
keepWhy(laying?.querySelector("form.choose"));
if (laying?.dataset.nudge) follow(laying, foreseen);
