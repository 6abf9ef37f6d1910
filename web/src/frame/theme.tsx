/** Light, dark, or as the system has it. */

import { effect, signal } from "@preact/signals";
import { Button } from "../ui/button";
import { remember, remembered } from "../ui/remembered";

const THEMES = ["system", "light", "dark"] as const;
type Theme = (typeof THEMES)[number];
const KEY = "posekit-theme";

const theme = signal<Theme>(THEMES.find((each) => each === remembered(KEY)) ?? "system");

effect(() => {
  if (theme.value === "system") delete document.documentElement.dataset["theme"];
  else document.documentElement.dataset["theme"] = theme.value;
  remember(KEY, theme.value);
});

export function ThemeButton() {
  const now = theme.value;
  const next = THEMES[(THEMES.indexOf(now) + 1) % THEMES.length] as Theme;
  return <Button icon={now} name={`Theme: ${now}. Press for ${next}`} short="theme" kind="plain" onClick={() => (theme.value = next)} />;
}
