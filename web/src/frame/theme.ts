/** Light, dark, or as the system has it. */

import { button } from "../ui/controls";
import { icon } from "../ui/icons";

const THEMES = ["system", "light", "dark"] as const;
type Theme = (typeof THEMES)[number];
const KEY = "posekit-theme";

export function themeButton(): HTMLButtonElement {
  let theme = THEMES.find((each) => each === stored()) ?? "system";
  const made = button({ drawn: "system", name: "Theme", kind: "plain" }, () => {
    theme = THEMES[(THEMES.indexOf(theme) + 1) % THEMES.length] as Theme;
    show();
  });

  function show(): void {
    if (theme === "system") delete document.documentElement.dataset["theme"];
    else document.documentElement.dataset["theme"] = theme;
    made.replaceChildren(icon(theme));
    made.ariaLabel = made.title = `Theme: ${theme}. Press for the next`;
    try {
      localStorage.setItem(KEY, theme);
    } catch {
      // Without storage the choice lasts until the page is left.
    }
  }
  show();
  return made;
}

function stored(): string | null {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}
