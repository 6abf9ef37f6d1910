/** Marks of notes in the picture: each hangs on the part it belongs to, told apart by shape and number. */

import { Box3, type Object3D, Vector3 } from "three";
import type { NoteView } from "../engine/protocol";
import type { Figure } from "./figure";
import type { Label, Labels } from "./labels";

export interface Pins {
  remove(): void;
}

/** A shape for each kind of note; one that is ticked off has a tick in its place. */
export const SHAPES: Readonly<Record<NoteView["kind"], string>> = { approved: "●", change: "▲", note: "■" };

export function mark({ kind, state, number }: Pick<NoteView, "kind" | "state" | "number">): string {
  return `${state === "done" ? "✓" : SHAPES[kind]} ${number}`;
}

/** Marks of these notes; `pressed` hears of a press on one. A note that names a part and no point stands at its middle. */
export function showPins(figure: Figure, notes: readonly NoteView[], labels: Labels, pressed: (note: NoteView) => void): Pins {
  const pins: Label[] = [];
  for (const note of notes) {
    const node = note.part === null ? null : figure.node(note.part);
    if (!node) continue;
    const at = note.point ? new Vector3(...note.point) : middleOf(node);
    const pin = labels.add(mark(note), node, at, `pin label--${note.state === "done" ? "done" : note.kind}`);
    pin.element.dataset["note"] = note.id;
    pin.element.addEventListener("click", () => pressed(note));
    pins.push(pin);
  }
  return { remove: () => pins.forEach((pin) => pin.remove()) };
}

/** The middle of what hangs on a node, in its own frame; its origin where that is nothing. */
export function middleOf(node: Object3D): Vector3 {
  const box = new Box3().setFromObject(node);
  return box.isEmpty() ? new Vector3() : node.worldToLocal(box.getCenter(new Vector3()));
}
