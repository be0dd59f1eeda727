// A daemon that came back as another version serves another page. Ours would
// misread what it says, so it fetches that one, once.

/** @param {string} page the hash of the files that the daemon serves now */
export function renewIfChanged(page) {
  if (import.meta.url.includes("/assets/" + page + "/") || sessionStorage.getItem("renewed") === page) return;
  sessionStorage.setItem("renewed", page);
  location.reload();
}
