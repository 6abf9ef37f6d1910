/** A debugging door, for tests and for a look from the browser's console: `posekit.node("head")`. */

import { Box3, Vector3 } from "three";
import type { Bench } from "./bench";
import type { Part, Span } from "./panels/motion/curves";
import { quiet } from "./ui/toasts";
import { fresh, type Work } from "./work/history";
import { freshName } from "./work/journal";

export interface DebugDoor {
  /** Where a link is drawn: picture_from_link, column by column (metres, +Y up), or null. */
  node(link: string): number[] | null;
  /** Where the ghost of a link is drawn, if it is drawn. */
  ghost(link: string): number[] | null;
  /** The ends and the mark of a body of a drive's linkage as it is drawn (metres), or null. */
  body(drive: string, name: string): readonly number[] | null;
  /** Where a grip of a linkage is seen, in px from the corner of the page. */
  grip(drive: string, name: string): [number, number] | null;
  /** Where the view is looked at from (metres). */
  eye(): number[];
  /** Where the middle of a link is seen, in px from the corner of the page. */
  spot(link: string): [number, number] | null;
  /** The link that is outlined in the picture. */
  outlined(): string | null;
  /** The files of the prop, and the bytes of one. */
  paths(): string[];
  bytes(path: string): number[];
  /** Where a point of the picture (metres) is seen, in px from the corner of the page. */
  seen(point: [number, number, number]): [number, number];
  /** Keep the picture fine whatever moves, to measure what it gives way by. */
  steady(on: boolean): void;
  /** The text of a file of the prop. */
  file(path: string): string | null;
  /** The work as it would be saved: name of the folder, values, text of the prop file. */
  work(): { folder: string; values: Readonly<Record<string, number>>; text: string };
  /** The show: where the play is [s], how many poses are held, the curves at hand and what of them is looked at. */
  play(): { time: number; playing: boolean; held: number; part: Part | null; view: Span | null };
  /** Whether anything that was typed or asked waits for Python. */
  busy(): boolean;
  /** Stand as when this was called first: the same work with nothing to undo, and every panel anew. Python goes on. */
  anew(): void;
  /** End the worker as a crash would; nothing else here changes anything. */
  crash(): void;
}

declare global {
  interface Window {
    posekit?: DebugDoor;
  }
}

export function openDebugDoor({ session, view, rehearsal, player, curves, nearness, panel, controls }: Bench): void {
  let first: Work | null = null;

  function seen(point: Vector3): [number, number] {
    const box = view.stage.canvas.getBoundingClientRect();
    const at = point.project(view.stage.camera);
    return [box.left + ((at.x + 1) / 2) * box.width, box.top + ((1 - at.y) / 2) * box.height];
  }

  window.posekit = {
    node(link) {
      const node = view.figure()?.node(link);
      return node ? [...node.matrixWorld.elements] : null;
    },
    ghost(link) {
      const node = view.ghost(link);
      return node ? [...node.matrixWorld.elements] : null;
    },
    body: view.body,
    grip(drive, name) {
      const found = view.grips().find((each) => each.drive === drive && each.grip === name);
      if (!found) return null;
      const box = view.stage.canvas.getBoundingClientRect();
      const seen = found.at.clone().project(view.stage.camera);
      return [box.left + ((seen.x + 1) / 2) * box.width, box.top + ((1 - seen.y) / 2) * box.height];
    },
    eye: () => view.stage.camera.position.toArray(),
    spot(link) {
      const node = view.figure()?.node(link);
      return node ? seen(new Box3().setFromObject(node).getCenter(new Vector3())) : null;
    },
    outlined: view.outlined,
    paths: () => Object.keys(session.history.work().files),
    bytes: (path) => [...(session.history.work().files[path] ?? [])],
    steady: view.stage.steady,
    seen: (point) => seen(new Vector3(...point)),
    file(path) {
      const data = session.history.work().files[path];
      return data ? new TextDecoder().decode(data) : null;
    },
    work() {
      const { folder, values, files } = session.history.work();
      return { folder, values, text: new TextDecoder().decode(files["prop.toml"]) };
    },
    play: () => ({ time: player.time.value, playing: player.playing.value, held: player.held(), part: curves.part.value, view: curves.view.value }),
    busy: () => session.engine.busy() || session.follows() || session.waiting.value > 0,
    anew() {
      first ??= session.history.work();
      rehearsal.close();
      quiet();
      [player.rate.value, player.loop.value, player.ghost.value] = [1, false, false];
      [nearness.drawn.value, panel.value, controls.value, session.part.value] = [true, "channels", false, null];
      session.history.settle();
      session.history.record.value = fresh({ ...first, opened: freshName() });
      view.home();
    },
    crash: () => session.engine.stop("ended from the console"),
  };
}
