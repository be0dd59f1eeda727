// The coach's page: the operator's screen in small, and what is behind it.

import { announce } from "../parts/announce.js";
import { arrival } from "../parts/arrival.js";
import { beam } from "../parts/beam.js";
import { card } from "../parts/card.js";
import { dim } from "../parts/dim.js";
import { language } from "../parts/language.js";
import { line } from "../parts/line.js";
import { notices } from "../parts/notices.js";
import { old } from "../parts/old.js";
import { tide } from "../parts/tide.js";
import { title } from "../parts/title.js";
import { verdict } from "../parts/verdict.js";
import { watching } from "../watching.js";
import { findings } from "./findings.js";
import { foot } from "./foot.js";
import { hold } from "./hold.js";
import { ledger } from "./ledger.js";
import { notes } from "./notes.js";
import { order } from "./order.js";
import { tell } from "./tell.js";

watching([old, title, verdict, beam, line, arrival, card, tide, notices, ledger, findings, hold, tell, notes, order, language, foot, dim, announce], "coach");
