/** What is chosen on the page: a part, the joint that carries it where that moves, and the drive that is meant by it. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { DriveView, PropView } from "../engine/protocol";

export interface Choice {
  /** The part that list and picture point out. */
  readonly part: Signal<string | null>;
  /** The joint that rows and picture point out: the one that carries the part, where it moves. */
  readonly joint: Signal<string | null>;
  /** Of the drives that move it the one chosen last, else the first; the last one where nothing that moves is chosen. */
  readonly drive: ReadonlySignal<DriveView | null>;
  /** Choose a drive, and with it its joint. */
  chooseDrive(name: string): void;
}

/** The moving joint that carries a part; null for the root and for what is fixed. */
export function jointOf(prop: PropView | null, part: string | null): string | null {
  return prop?.joints.find(({ child }) => child === part)?.name ?? null;
}

export function createChoice(prop: ReadonlySignal<PropView | null>): Choice {
  const part = signal<string | null>(null);
  const joint = signal<string | null>(null);
  const named = signal<string | null>(null);

  part.subscribe((now) => void (joint.value = jointOf(prop.peek(), now)));
  // A change of the prop may hold the part by another joint, or let it move.
  prop.subscribe((now) => part.peek() !== null && (joint.value = jointOf(now, part.peek())));

  joint.subscribe((now) => {
    const [drives, joints] = [prop.peek()?.drives ?? [], prop.peek()?.joints ?? []];
    if (jointOf(prop.peek(), part.peek()) !== now) part.value = joints.find(({ name }) => name === now)?.child ?? null;
    // Of a joint that follows another the drives are those of that one; of a differential there are two.
    const moving = joints.find(({ name }) => name === now)?.drives ?? [];
    if (moving.length === 0 || moving.includes(named.peek() ?? "")) return;
    named.value = drives.find((each) => each.joint === now)?.name ?? moving[0] ?? null;
  });

  return {
    part,
    joint,
    drive: computed(() => prop.value?.drives.find(({ name }) => name === named.value) ?? null),
    chooseDrive(name) {
      named.value = name;
      joint.value = prop.peek()?.drives.find((each) => each.name === name)?.joint ?? null;
    },
  };
}
