/** The picture with its size bar; where there can be none, why not. */

import { effect, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Button } from "../ui/button";
import type { Desk } from "./desk";
import type { Said } from "./form";
import { numbered } from "./note";
import type { Unpacked } from "./packed";
import { showScale } from "./scale-bar";
import { createScene, type Scene } from "./scene";

interface FigureDoor {
  readonly scene: Scene;
  readonly size_mm: number;
  /** Where a part is drawn: picture_from_link, column by column. */
  node(part: string): number[] | null;
  /** Where the middle of a part is seen, in px from the corner of the page. */
  spot(part: string): [number, number] | null;
}

declare global {
  interface Window {
    /** For a look from the browser's console, and for tests: `figure.node("head")`. */
    figure?: FigureDoor;
  }
}

export function View({ desk, data }: { desk: Desk; data: Unpacked<Said> }) {
  const [holder, bar, words] = [useRef<HTMLDivElement>(null), useRef<HTMLDivElement>(null), useRef<HTMLSpanElement>(null)];
  const scene = useRef<Scene | null>(null);
  const problem = useSignal("");
  const hint = useSignal(true); // until it is taken
  const plainer = useSignal("");

  useEffect(() => {
    if (!holder.current || !bar.current || !words.current) return undefined;
    const { draft, lit, said } = desk;
    try {
      scene.current = createScene(holder.current, data, desk.player, (part, point) => {
        [draft.part.value, draft.point.value, lit.value] = [part, point, null];
        desk.heard.value = `Part ${said.told[said.figure.links.indexOf(part)]} is chosen.`;
      });
    } catch (reason) {
      problem.value = reason instanceof Error ? reason.message : String(reason);
      return undefined;
    }
    const made = scene.current;
    if (made.stage.drawnBy.value === "processor") plainer.value = ". This browser gives no WebGL: the figure is drawn plainer, without shadows";
    made.stage.canvas.addEventListener("pointerdown", () => (hint.value = false));
    showScale(made.stage, bar.current, words.current);
    const node = (part: string) => made.figure.nodes[said.figure.links.indexOf(part)];
    window.figure = {
      scene: made,
      size_mm: said.size_mm,
      node: (part) => node(part)?.matrixWorld.elements.slice() ?? null,
      spot: (part) => made.spot(part),
    };
    const ends = [
      effect(() => made.choose(lit.value?.part ?? draft.part.value)),
      effect(() => {
        const own = numbered(said, desk.notes.value);
        const came = said.notes.filter(({ id, done }) => !done && !own.some((note) => note.id === id));
        const seen = [...came, ...own];
        const pinned = seen.flatMap(({ part, point_mm, number }) => (part ? [{ part, point: point_mm ?? null, words: String(number) }] : []));
        const meant = lit.value ?? { part: draft.part.value, point: draft.point.value };
        const here = meant.part === null || !meant.point ? [] : [{ part: meant.part, point: meant.point, words: "here" }];
        made.pin([...pinned, ...here]);
      }),
    ];
    return () => ends.forEach((end) => end());
  }, []);

  return (
    <div class="view__picture" ref={holder}>
      {problem.value ? (
        <p class="view__none" role="alert">{problem.value} The looks are listed, and notes can be written all the same.</p>
      ) : (
        <>
          <div class="view__tools">
            <Button icon="home" name="Show all of the figure" onClick={() => scene.current?.home()} />
          </div>
          {hint.value && <p class="view__hint quiet">Drag to turn, pinch or scroll to come nearer, tap a part to add a note{plainer}</p>}
        </>
      )}
      <div class="scale" hidden={problem.value !== ""}>
        <span class="unseen">Size bar: </span>
        <span class="number" ref={words} />
        <div class="scale__bar" ref={bar} />
      </div>
    </div>
  );
}
