/** The picture and the name at the top follow the work. `data-picture` on <html> tells how far the picture is. */

import { byId } from "../ui/browser";
import type { Session } from "../work/session";
import { complain } from "../ui/toasts";
import type { View } from "./view";

export function showOnScreen(session: Session, view: View): void {
  let folder = "";

  session.picture.subscribe(async (glb) => {
    if (!glb) return;
    const now = session.history.work().folder;
    await view.show(glb.slice().buffer, now === folder || folder === "" ? "keep" : "move").catch(complain);
    folder = now;
    place();
  });
  session.pose.subscribe(place);
  session.prop.subscribe((prop) => {
    byId("prop-name").textContent = prop?.name ?? "posekit";
    document.title = prop ? `${prop.name} · posekit` : "posekit";
  });

  function place(): void {
    const [prop, pose] = [session.prop.value, session.pose.value];
    if (!prop || !pose) return;
    view.place(prop.links, pose.links, pose.linkages);
    document.documentElement.dataset["picture"] = "posed";
  }
}
