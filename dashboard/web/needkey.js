// A screen whose key was taken away, or that never had one, goes to where it gets another.

/** Goes there, and comes back to this page afterwards. */
export function needKey() {
  location.assign("/pair?to=" + encodeURIComponent(location.pathname));
}

/** Asks whether it is for want of a key that nothing comes. */
export async function needsKey() {
  try {
    return (await fetch("/api/may", { cache: "no-store", signal: AbortSignal.timeout(4000) })).status === 401;
  } catch {
    return false; // out of reach, which is another thing
  }
}
