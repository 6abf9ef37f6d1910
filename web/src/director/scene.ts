/** The figure in its lit room, moved by the player; where it was tapped; numbers at the places of notes. */

import { effect } from "@preact/signals";
import { Raycaster, Vector3 } from "three";
import { listenToKeys } from "../view/keys";
import type { Label } from "../view/labels";
import { type Outline, outline } from "../view/outline";
import { middleOf } from "../view/pins";
import { createStage, rayTo, shownColour, type Stage } from "../view/stage";
import { buildFigure, type Figure, track, type Track } from "./figure";
import type { Said, ShowSaid } from "./form";
import type { Unpacked } from "./packed";
import type { Player } from "./player";

export interface Scene {
  readonly stage: Stage;
  readonly figure: Figure;
  home(): void;
  /** Outline a part, or none. */
  choose(part: string | null): void;
  chosen(): string | null;
  /** Where the middle of a part is seen, in px from the corner of the page. */
  spot(part: string): [number, number] | null;
  /** Put words at points of parts [mm], in place of those before. */
  pin(pins: readonly Pin[]): void;
}

export interface Pin {
  readonly part: string;
  readonly point: readonly [number, number, number] | null;
  readonly words: string;
}

const TAP_PX = 6; // what moves farther is a turn

/** `tapped` hears of a part and the point in its own frame [mm]. Throws where the browser draws nothing in 3D. */
export function createScene(
  holder: HTMLElement,
  data: Unpacked<Said>,
  player: Player,
  tapped: (part: string, point: [number, number, number]) => void,
): Scene {
  const { said } = data;
  const stage = createStage(holder);
  if (stage.drawnBy.peek() === "nothing") throw new Error("This browser gives neither WebGL nor anything else to draw on, without which there is no picture. Another one may.");
  const figure = buildFigure(said.figure, data);
  stage.scene.add(figure.object);
  const { links } = said.figure;
  const looks = track(said.poses, links.length, data);
  const shows = new Map<ShowSaid, Track>();

  function poses(show: ShowSaid): Track {
    const found = shows.get(show) ?? track(show.poses, links.length, data);
    shows.set(show, found);
    return found;
  }

  effect(() => {
    const [look, show] = [player.look.value, player.show.value];
    if (look) figure.place(looks, said.looks.indexOf(look));
    if (show) figure.place(poses(show), (player.time.value - show.begin) * show.rate);
    stage.draw();
  });
  const home = (): void => stage.frame(figure.bounds(), "move");
  home();
  listenToKeys(stage, home);

  let down: PointerEvent | null = null;
  const caster = new Raycaster();
  stage.canvas.addEventListener("pointerdown", (event) => (down = event.isPrimary ? event : null));
  stage.canvas.addEventListener("pointerup", (event) => {
    const moved = down ? Math.hypot(event.clientX - down.clientX, event.clientY - down.clientY) : Infinity;
    down = null;
    if (moved > TAP_PX || event.button !== 0) return;
    caster.ray.copy(rayTo(stage, event));
    const hit = figure.under(caster);
    const part = hit && links[hit.link];
    if (hit && part !== undefined && part !== null) tapped(part, hit.point.toArray());
  });

  let drawn: Outline | null = null;
  let outlined: string | null = null;
  let pins: Label[] = [];
  return {
    stage,
    figure,
    home,
    choose(part) {
      drawn?.remove();
      const node = part === null ? undefined : figure.nodes[links.indexOf(part)];
      outlined = node ? part : null;
      drawn = node ? outline(node, "solid", shownColour("--accent")) : null;
      stage.draw();
    },
    chosen: () => outlined,
    spot(part) {
      const node = figure.nodes[links.indexOf(part)];
      if (!node) return null;
      const at = node.localToWorld(middleOf(node)).project(stage.camera);
      const box = stage.canvas.getBoundingClientRect();
      return [box.left + ((at.x + 1) / 2) * box.width, box.top + ((1 - at.y) / 2) * box.height];
    },
    pin(all) {
      for (const label of pins) label.remove();
      pins = all.flatMap(({ part, point, words }) => {
        const node = figure.nodes[links.indexOf(part)];
        return node ? [stage.labels.add(words, node, point ? new Vector3(...point) : middleOf(node), "pin")] : [];
      });
      stage.draw();
    },
  };
}
