/** Two pictures of the prop that are looked at from one place: whoever turns one turns both. */

import type { BesideView } from "../../engine/protocol";
import { createView, type View } from "../../view/view";
import type { Session } from "../../work/session";

export interface Twins {
  readonly holders: readonly [HTMLElement, HTMLElement];
  /** Stand as these poses of the prop on the bench, seen as the figure there is seen. */
  show(glb: Uint8Array<ArrayBuffer>, links: readonly string[], poses: BesideView): Promise<void>;
  /** Outline a part in both. */
  choose(part: string | null): void;
}

/** The pictures are made once and kept: a browser gives few of them. `like` is the picture whose view they begin with. */
export function createTwins(session: Session, like: View): Twins {
  const holders: [HTMLElement, HTMLElement] = [holder(), holder()];
  const views: [View, View] = [createView(holders[0]), createView(holders[1])];
  views.forEach(({ stage }, which) => {
    const other = views[1 - which as 0 | 1].stage;
    stage.orbit.addEventListener("change", () => copyView(stage, other));
  });

  return {
    holders,
    async show(glb, links, { left, right }) {
      const before = views[0].shown.peek();
      await Promise.all(views.map((view) => view.show(glb.slice().buffer, "move")));
      if (session.picture.peek() !== glb) return; // another prop came meanwhile
      views[0].place(links, left);
      views[1].place(links, right);
      if (views[0].shown.peek() !== before) lookFrom(like.stage, views[0].stage);
    },
    choose: (part) => views.forEach((view) => view.choose(part)),
  };
}

function holder(): HTMLElement {
  const element = document.createElement("div");
  element.className = "stage__view";
  return element;
}

/** Turn a view the way another one looks, as far away as it is. */
function lookFrom(like: View["stage"], { camera, orbit, draw }: View["stage"]): void {
  const far = camera.position.distanceTo(orbit.target);
  const away = like.camera.position.clone().sub(like.orbit.target).setLength(far);
  camera.position.copy(orbit.target).add(away);
  draw();
}

const NEAR = 1e-9; // m; nearer than this, two eyes are at one place, and the one need not follow the other any more

function copyView(from: View["stage"], to: View["stage"]): void {
  if (from.camera.position.distanceTo(to.camera.position) < NEAR && from.orbit.target.distanceTo(to.orbit.target) < NEAR) return;
  to.orbit.target.copy(from.orbit.target);
  to.camera.position.copy(from.camera.position);
  to.orbit.dispatchEvent({ type: "start" }); // as if by hand: the view is no longer fitted to the figure
  to.draw();
}
