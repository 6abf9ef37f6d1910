/** The picture and the name at the top follow the work. `data-picture` on <html> tells how far the picture is. */

import { byId } from "./dom";
import type { Session } from "./session";
import { complain } from "./toasts";
import type { View } from "./view/view";

export function showOnScreen(session: Session, view: View): void {
  let folder = "";

  session.picture.watch(async (glb) => {
    if (!glb) return;
    const now = session.history.work().folder;
    await view.show(glb.slice().buffer, now === folder || folder === "" ? "keep" : "move").catch(complain);
    folder = now;
    place();
  });
  session.pose.watch(place);
  session.prop.watch((prop) => {
    byId("prop-name").textContent = prop?.name ?? "posekit";
    document.title = prop ? `${prop.name} · posekit` : "posekit";
  });

  function place(): void {
    const [prop, pose] = [session.prop.get(), session.pose.get()];
    if (!prop || !pose) return;
    view.place(prop.links, pose.links);
    document.documentElement.dataset["picture"] = "posed";
  }
}
