/** Small choices of the builder's, kept by the browser where it keeps anything: for all its tabs, or for this one until it is closed. */

type Where = () => globalThis.Storage;

const IN_BROWSER: Where = () => localStorage; // asking for it may throw
export const IN_TAB: Where = () => sessionStorage;

export function remembered(key: string, where = IN_BROWSER): string | null {
  try {
    return where().getItem(key);
  } catch {
    return null;
  }
}

export function remember(key: string, choice: string, where = IN_BROWSER): void {
  try {
    where().setItem(key, choice);
  } catch {
    // Without storage the choice lasts until the page is left.
  }
}
