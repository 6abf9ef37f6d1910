/** A debugging door, for tests and for a look from the browser's console: `posekit.node("head")`. */

import { Box3, Vector3 } from "three";
import type { Curves, Part, Span } from "./panels/motion/curves";
import type { Player } from "./panels/motion/player";
import type { Session } from "./work/session";
import type { View } from "./view/view";

export interface DebugDoor {
  /** Where a link is drawn: picture_from_link, column by column (metres, +Y up), or null. */
  node(link: string): number[] | null;
  /** Where the ghost of a link is drawn, if it is drawn. */
  ghost(link: string): number[] | null;
  /** Where the view is looked at from (metres). */
  eye(): number[];
  /** Where the middle of a link is seen, in px from the corner of the page. */
  spot(link: string): [number, number] | null;
  /** The text of a file of the prop. */
  file(path: string): string | null;
  /** The work as it would be saved: name of the folder, values, text of the prop file. */
  work(): { folder: string; values: Readonly<Record<string, number>>; text: string };
  /** The show: where the play is [s], how many poses are held, the curves at hand and what of them is looked at. */
  play(): { time: number; playing: boolean; held: number; part: Part | null; view: Span | null };
  /** Whether Python has yet to answer. */
  busy(): boolean;
  /** End the worker as a crash would; nothing else here changes anything. */
  crash(): void;
}

declare global {
  interface Window {
    posekit?: DebugDoor;
  }
}

export function openDebugDoor(session: Session, view: View, player: Player, curves: Curves): void {
  window.posekit = {
    node(link) {
      const node = view.figure()?.node(link);
      return node ? [...node.matrixWorld.elements] : null;
    },
    ghost(link) {
      const node = view.ghost(link);
      return node ? [...node.matrixWorld.elements] : null;
    },
    eye: () => view.stage.camera.position.toArray(),
    spot(link) {
      const node = view.figure()?.node(link);
      if (!node) return null;
      const box = view.stage.canvas.getBoundingClientRect();
      const seen = new Box3().setFromObject(node).getCenter(new Vector3()).project(view.stage.camera);
      return [box.left + ((seen.x + 1) / 2) * box.width, box.top + ((1 - seen.y) / 2) * box.height];
    },
    file(path) {
      const data = session.history.work().files[path];
      return data ? new TextDecoder().decode(data) : null;
    },
    work() {
      const { folder, values, files } = session.history.work();
      return { folder, values, text: new TextDecoder().decode(files["prop.toml"]) };
    },
    play: () => ({ time: player.time.value, playing: player.playing.value, held: player.held(), part: curves.part.value, view: curves.view.value }),
    busy: () => session.engine.busy(),
    crash: () => session.engine.stop("ended from the console"),
  };
}
