// The operator's first connection, begun before the other modules run: the first of them that
// formats a number has the browser read its tables of languages, and meanwhile the daemon answers.

import { reach } from "./live.js";

export const early = reach();
