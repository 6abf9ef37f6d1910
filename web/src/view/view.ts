/** The picture of the prop: the stage, the figure on it, and what can be laid over it on demand. */

import { Group, type Line, type Object3D } from "three";
import { same } from "../work/bytes";
import { type Signal, signal } from "@preact/signals";
import type { Floats, JointView, LinkageView, SweepView } from "../engine/protocol";
import { type Figure, loadFigure } from "./figure";
import { createGhost, type Ghost, moved, trace } from "./ghost";
import type { Taker } from "./hands";
import { listenToKeys } from "./keys";
import { type Bodies, createBodies, type Grip } from "./linkages";
import { type Marks, showAxes, showNames } from "./marks";
import { outline, type Outline } from "./outline";
import { createStage, shownColour, type Stage } from "./stage";

export interface View {
  readonly stage: Stage;
  figure(): Figure | null;
  /** Counts the figures shown so far: a change tells that there is another. */
  readonly shown: Signal<number>;
  /** The prop whose figure stands there in its pose, by the name that the bench has for it; "" before the first does. */
  readonly of: Signal<string>;
  /** Take another figure, unless it is the one that stands there. The camera moves to it or keeps its place. */
  show(glb: ArrayBuffer, camera: "move" | "keep"): Promise<void>;
  place(links: readonly string[], transforms: Floats, bodies?: Floats | null): void;
  /**
   * Play: put every link where pose `step` of `real` (P, L, 16) says, with a ghost where `commanded` stands apart from it.
   * What `place` is told meanwhile waits until `rest`.
   */
  act(links: readonly string[], real: Floats, step: number, commanded: Floats | null, bodies?: Floats | null): void;
  /** Draw these linkages from now on, where poses say; none for null. */
  linkages(views: readonly LinkageView[] | null): void;
  /** One linkage and the parts as a pull would have them; the other linkages stay. `rest` ends it. */
  pulled(links: readonly string[], transforms: Floats, first: number, bodies: Floats): void;
  /** The balls and pivots in the picture. */
  grips(): readonly Grip[];
  /** The ends and the mark of a body of a linkage, where it is drawn. */
  body(drive: string, name: string): readonly number[] | null;
  /** Whether the figure stands otherwise than the channels say, so that what is read of their pose is not drawn. */
  readonly apart: Signal<boolean>;
  /** A panel at work in the picture hears of presses there, until it is told null. */
  taker: Taker | null;
  /** The ghost of a link, where it stands apart from the link. */
  ghost(link: string): Object3D | null;
  /** Leave the play and stand again as placed last. */
  rest(): void;
  home(): void;
  choose(link: string | null): void;
  /** The link that is outlined. */
  outlined(): string | null;
  axes(joints: readonly JointView[] | null): void;
  names(on: boolean): void;
  /** The way of a drive between its end points: ghosts at both ends and the way of the outermost point. */
  sweep(sweep: SweepView | null, links: readonly string[]): void;
}

export function createView(holder: HTMLElement): View {
  const stage = createStage(holder);
  const room = new Group();
  stage.scene.add(room);
  const shown = signal(0);
  let figure: Figure | null = null;
  let source: Uint8Array | null = null; // the GLB it came from
  let wanted: string | null = null; // the link to be outlined, which another figure may have yet to bring
  let chosen: { link: string; outline: Outline } | null = null;
  let axes: Marks | null = null;
  let names: Marks | null = null;
  let swept: { ghosts: Ghost[]; line: Line } | null = null;

  let bodies: Bodies | null = null;
  let stand: { links: readonly string[]; transforms: Floats; bodies: Floats | null } | null = null;
  let acting = false;
  let shadow: { ghost: Ghost; of: Figure } | null = null; // of the commanded pose

  stage.onGivingWay((gives) => figure?.giveWay(gives));

  function dropShadow(): void {
    shadow?.ghost.remove();
    shadow = null;
  }

  const view: View = {
    stage,
    figure: () => figure,
    shown,
    of: signal(""),
    apart: signal(false),
    taker: null,

    async show(glb, camera) {
      const bytes = new Uint8Array(glb);
      if (same(bytes, source ?? undefined)) return;
      const next = await loadFigure(glb);
      source = bytes;
      const [again, named] = [wanted, names !== null];
      view.choose(null);
      view.axes(null);
      view.names(false);
      view.sweep(null, []);
      stage.another();
      figure?.dispose();
      figure = next;
      room.add(next.object);
      shown.value = shown.value + 1;
      stage.frame(next.bounds(), camera);
      view.choose(again);
      view.names(named);
    },

    place(links, transforms, points = null) {
      stand = { links, transforms, bodies: points };
      if (acting) return;
      figure?.place(links, transforms);
      bodies?.place(points?.data ?? null);
      stage.drawMoved();
    },

    act(links, real, step, commanded, points = null) {
      if (!figure) return;
      acting = true;
      const size = links.length * 16;
      figure.place(links, { data: real.data.subarray(step * size, (step + 1) * size), shape: [links.length, 16] });
      const each = (points?.shape[1] ?? 0) * 9;
      bodies?.place(points ? points.data.subarray(step * each, (step + 1) * each) : null);
      if (!commanded || shadow?.of !== figure) dropShadow();
      if (commanded) {
        shadow ??= { ghost: createGhost(figure, links, new Set(links), shownColour("--brass")), of: figure };
        shadow.ghost.place(commanded, step, real);
      }
      stage.drawMoved();
    },

    linkages(views) {
      bodies?.remove();
      const colours = { bar: shownColour("--brass"), wheel: shownColour("--line-strong"), grip: shownColour("--accent") };
      bodies = views && views.length > 0 ? createBodies(room, views, stage.labels, colours) : null;
      bodies?.place(stand?.bodies?.data ?? null);
      stage.draw();
    },

    pulled(links, transforms, first, points) {
      acting = true;
      const all = stand?.bodies?.data.slice();
      all?.set(points.data, first * 9);
      figure?.place(links, transforms);
      bodies?.place(all ?? null);
      stage.drawMoved();
    },

    grips: () => (acting ? [] : (bodies?.grips() ?? [])),
    body: (drive, name) => bodies?.body(drive, name) ?? null,

    ghost: (link) => shadow?.ghost.node(link) ?? null,

    rest() {
      acting = false;
      dropShadow();
      if (stand) view.place(stand.links, stand.transforms, stand.bodies);
    },

    home() {
      if (figure) stage.frame(figure.bounds(), "move");
    },

    choose(link) {
      wanted = link;
      chosen?.outline.remove();
      const node = link === null ? null : figure?.node(link);
      chosen = link !== null && node ? { link, outline: outline(node, "solid", shownColour("--brass")) } : null;
      stage.draw();
    },

    outlined: () => chosen?.link ?? null,

    axes(joints) {
      axes?.remove();
      axes = joints && figure ? showAxes(figure, joints, stage.labels, shownColour("--brass")) : null;
      stage.draw();
    },

    names(on) {
      names?.remove();
      names = on && figure ? showNames(figure, stage.labels) : null;
      stage.draw();
    },

    sweep(sweep, links) {
      for (const ghost of swept?.ghosts ?? []) ghost.remove();
      swept?.line.removeFromParent();
      swept?.line.geometry.dispose();
      swept = null;
      if (sweep && figure) {
        const which = moved(links, sweep.links);
        const colour = shownColour("--accent");
        const ends = [0, sweep.values.length - 1];
        const stands = figure;
        const ghosts = ends.map((step) => {
          const ghost = createGhost(stands, links, which, colour);
          ghost.place(sweep.links, step);
          return ghost;
        });
        const line = trace(sweep.trace, colour);
        room.add(line);
        swept = { ghosts, line };
      }
      stage.draw();
    },
  };

  listenToKeys(stage, view.home);
  return view;
}
