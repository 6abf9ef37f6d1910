/** The picture and the name at the top follow the work. `data-picture` on <html> tells how far the picture is. */

import { effect } from "@preact/signals";
import { NOT_MADE, Overtaken, Stopped } from "../engine/engine";
import { byId } from "../ui/browser";
import type { Session } from "../work/session";
import { complain } from "../ui/toasts";
import type { View } from "./view";

export function showOnScreen(session: Session, view: View): void {
  let folder = "";
  let [drawn, posed] = ["", ""]; // the props that figure and pose are of

  session.picture.subscribe(async (glb) => {
    if (!glb) return;
    const { folder: now, opened } = session.history.work();
    await view.show(glb.slice().buffer, now === folder || folder === "" ? "keep" : "move").catch(complain);
    [folder, drawn] = [now, opened];
    place();
  });
  session.pose.subscribe(() => {
    posed = session.history.work().opened;
    place();
  });
  session.prop.subscribe((prop) => {
    byId("prop-name").textContent = prop?.name ?? "posekit";
    document.title = prop ? `${prop.name} · posekit` : "posekit";
  });

  function place(): void {
    const [prop, pose] = [session.prop.value, session.pose.value];
    if (!prop || !pose || drawn !== posed) return; // the figure of one prop in the pose of another would fall apart
    view.place(prop.links, pose.links, pose.linkages);
    view.of.value = drawn;
    document.documentElement.dataset["picture"] = "posed";
  }
}

/** Resolves when the figure of the prop on the bench is drawn in its pose. Rejects with Overtaken where another prop comes first, and with Stopped. */
export function drawnAsItStands({ opened, progress }: Session, view: View): Promise<void> {
  const wanted = opened.peek();
  return new Promise((resolve, reject) => {
    const stop = effect(() => {
      if (opened.value !== wanted) reject(new Overtaken(NOT_MADE));
      else if (view.of.value === wanted) resolve();
      else if (progress.value.stage === "stopped") reject(new Stopped("Python is not running"));
      else return;
      queueMicrotask(() => stop());
    });
  });
}
