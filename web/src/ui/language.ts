/** WebKitGTK calls the language of a machine that is set to C.UTF-8 "C": no language, so that no number format can be made
 * for it, and what makes one as it loads does not load. Here such a machine reads English, as the page is written. */

try {
  Intl.getCanonicalLocales(navigator.language);
} catch {
  Object.defineProperty(navigator, "language", { value: "en" });
}
