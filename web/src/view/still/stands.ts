/** Whether the page begins with the still, and shows it yet. */
export function stillStands(): boolean {
  return document.documentElement.dataset["still"] === "first" && document.querySelector(".still") !== null;
}
