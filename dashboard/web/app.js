// The operator's page.

import { early } from "./early.js"; // before all that takes its time
import { announce } from "./parts/announce.js";
import { arrival } from "./parts/arrival.js";
import { beam } from "./parts/beam.js";
import { card } from "./parts/card.js";
import { dim } from "./parts/dim.js";
import { elements } from "./parts/elements.js";
import { foot } from "./parts/foot.js";
import { language } from "./parts/language.js";
import { line } from "./parts/line.js";
import { notices } from "./parts/notices.js";
import { old } from "./parts/old.js";
import { pages } from "./parts/pages.js";
import { segment } from "./parts/segment.js";
import { squeeze } from "./parts/squeeze.js";
import { tide } from "./parts/tide.js";
import { title } from "./parts/title.js";
import { verdict } from "./parts/verdict.js";
import { watching } from "./watching.js";

watching([old, title, verdict, beam, line, arrival, card, tide, notices, squeeze, elements, language, foot, segment, dim, pages, announce], "", early);
