// Runs before the first paint, and before anything else of the page is here: what needs no more than the browser knows.
{
  const found = {};
  try {
    Object.assign(found, sessionStorage, localStorage);
  } catch {
    // A browser that gives out no storage has kept nothing.
  }
  const { dataset } = document.documentElement;

  // The theme that was chosen, which frame/theme.tsx keeps.
  const theme = found["posekit-theme"];
  if (theme === "light" || theme === "dark") dataset.theme = theme;

  // The page begins with a still of the first prop that this site serves, where that is what it opens with: on a first
  // visit, by no link. Whatever is kept of an earlier one may stand otherwise.
  const visited = Object.keys(found).some((key) => key.startsWith("posekit"));
  if (!visited && !new URLSearchParams(location.hash.slice(1)).has("pose")) dataset.still = "first";
}
