/** Small choices of the builder's, kept by the browser where it keeps anything. */

export function remembered(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

export function remember(key: string, choice: string): void {
  try {
    localStorage.setItem(key, choice);
  } catch {
    // Without storage the choice lasts until the page is left.
  }
}
