/** Words in the view: HTML elements that stay at their point in space, out of each other's way and from under what lies over the picture. */

import { Vector3, type Camera, type Object3D } from "three";
import type { Box as Over } from "./over";

export interface Label {
  readonly element: HTMLElement;
  say(text: string): void;
  remove(): void;
}

export interface Labels {
  /** A label at a point of `object`, in its own frame. Of those with a unit, the numbers of a scale, the last that is seen tells it. */
  add(text: string, object: Object3D | null, point: Vector3, kind: string, unit?: string): Label;
  /** Put all of them where the camera sees them; one that would be covered or cut in part is away: half a number is another number. */
  place(camera: Camera, width: number, height: number, over: readonly Over[]): void;
}

export function createLabels(holder: HTMLElement): Labels {
  const layer = document.createElement("div");
  layer.className = "labels";
  layer.ariaHidden = "true";
  holder.append(layer);
  const placed = new Map<HTMLElement, { object: Object3D | null; point: Vector3 }>();
  const at = new Vector3();

  return {
    add(text, object, point, kind, unit) {
      const element = document.createElement("span");
      element.className = `label label--${kind}`;
      element.textContent = text;
      if (unit) element.dataset["unit"] = unit;
      layer.append(element);
      placed.set(element, { object, point });
      return {
        element,
        say: (words) => void (element.textContent = words),
        remove() {
          placed.delete(element);
          element.remove();
        },
      };
    },

    place(camera, width, height, over) {
      const boxes: Box[] = [];
      for (const [element, { object, point }] of placed) {
        at.copy(point);
        if (object) object.localToWorld(at);
        at.project(camera);
        const seen = Math.abs(at.x) < 1.1 && Math.abs(at.y) < 1.1 && at.z < 1;
        if (!seen) element.classList.add("label--away");
        const wide = (element.textContent.length + (element.classList.contains(UNIT) ? unitLetters(element) : 0)) * LETTER_PX + EDGES_PX;
        if (seen) boxes.push({ element, x: ((at.x + 1) / 2) * width, y: ((1 - at.y) / 2) * height, wide });
      }
      const cut = ({ x, y, wide }: Box): boolean => x < 0 || x + wide > width || y < LINE_PX / 2 || y + LINE_PX > height;
      const hidden = (box: Box): boolean => (box.element.classList.contains("label--ruler") && cut(box)) || over.some((other) => covers(other, box));
      const roomy = new Set<HTMLElement>(); // for the unit, too
      for (const box of apart(boxes)) {
        const { element, x, y } = box;
        const away = hidden(box);
        element.classList.toggle("label--away", away);
        element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
        const letters = element.textContent.length + unitLetters(element);
        if (!away && !hidden({ ...box, wide: letters * LETTER_PX + EDGES_PX })) roomy.add(element);
      }
      tellUnit([...placed.keys()].filter(({ dataset }) => dataset["unit"]), roomy);
    },
  };
}

interface Box {
  readonly element: HTMLElement;
  readonly x: number;
  readonly y: number;
  readonly wide: number;
}

const UNIT = "label--unit"; // its number is followed by the unit

function unitLetters({ dataset }: HTMLElement): number {
  return dataset["unit"] ? dataset["unit"].length + 1 : 0;
}

/** The last of a scale's numbers with room for it is told with the unit. Where none has, all are away: a number alone says nothing. */
function tellUnit(scale: readonly HTMLElement[], roomy: ReadonlySet<HTMLElement>): void {
  const last = scale.findLast((each) => roomy.has(each));
  for (const each of scale) {
    each.classList.toggle(UNIT, each === last);
    if (!last) each.classList.add("label--away");
  }
}

// Near enough, and no layout has to be read back while the view turns.
const LETTER_PX = 7.5;
const EDGES_PX = 10;
const LINE_PX = 18;

function covers(over: Over, { x, y, wide }: Box): boolean {
  return over.left < x + wide && x < over.right && over.top < y + LINE_PX / 2 && y - LINE_PX / 2 < over.bottom;
}

/** Each box below those above it that it would cover: of two near each other the upper one stays the upper one. */
function apart(boxes: readonly Box[]): Box[] {
  const stands: Box[] = [];
  for (const box of [...boxes].sort((one, other) => one.y - other.y)) {
    const above = stands.filter((other) => box.x < other.x + other.wide && other.x < box.x + box.wide);
    stands.push({ ...box, y: Math.max(box.y, ...above.map(({ y }) => y + LINE_PX)) });
  }
  return stands;
}
