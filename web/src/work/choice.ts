/** What is chosen on the page: a joint, with the part that it carries, and the drive that is meant by it. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { DriveView, PropView } from "../engine/protocol";

export interface Choice {
  /** The joint that rows and picture point out. */
  readonly joint: Signal<string | null>;
  /** Of the drives that move it the one chosen last, else the first; the last one where nothing that moves is chosen. */
  readonly drive: ReadonlySignal<DriveView | null>;
  /** Choose a drive, and with it its joint. */
  chooseDrive(name: string): void;
}

export function createChoice(prop: ReadonlySignal<PropView | null>): Choice {
  const joint = signal<string | null>(null);
  const named = signal<string | null>(null);

  joint.subscribe((now) => {
    const [drives, joints] = [prop.peek()?.drives ?? [], prop.peek()?.joints ?? []];
    // Of a joint that follows another the drives are those of that one; of a differential there are two.
    const moving = joints.find(({ name }) => name === now)?.drives ?? [];
    if (moving.length === 0 || moving.includes(named.peek() ?? "")) return;
    named.value = drives.find((each) => each.joint === now)?.name ?? moving[0] ?? null;
  });

  return {
    joint,
    drive: computed(() => prop.value?.drives.find(({ name }) => name === named.value) ?? null),
    chooseDrive(name) {
      named.value = name;
      joint.value = prop.peek()?.drives.find((each) => each.name === name)?.joint ?? null;
    },
  };
}
