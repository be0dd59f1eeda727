// The language of this page: the one that its reader chose on some page, or else the
// house's. The server wrote the page in it.

const year = 31536000; // seconds

/**
 * Every page is in this language from now on, once it is loaded anew.
 * @param {string} tag
 */
export const remember = (tag) => (document.cookie = `pawl-language=${tag}; Path=/; Max-Age=${year}; SameSite=Lax`);

/** The language's tag. */
export const spoken = () => document.documentElement.lang;

/**
 * An address that asks for what it has in the language of the page.
 * @param {string} path
 * @param {string} [as]
 */
export const ask = (path, as = "") => path + "?lang=" + encodeURIComponent(spoken()) + (as && "&as=" + as);
