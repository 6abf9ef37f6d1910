/** All there is to tell about the prop and its pose. The shapes of the parts are looked at once somebody wants to know. */

import { computed, effect, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { FindingView, PropView } from "../../engine/protocol";
import { worstFirst } from "../../ui/finding";
import type { Session } from "../../work/session";
import type { Nearness } from "../clearance/nearness";

export interface Check {
  /** Of the pose that stands, and of the prop; worst first. */
  readonly pose: ReadonlySignal<readonly FindingView[]>;
  readonly prop: ReadonlySignal<readonly FindingView[]>;
  /** Whether `pose` tells of parts that strike; else that was not looked at yet. */
  readonly near: ReadonlySignal<boolean>;
  /** Whether `prop` is all there is to find; without, the shapes were not looked at. */
  readonly whole: ReadonlySignal<boolean>;
  /** Set this to have the shapes looked at, which takes a while. */
  readonly wanted: Signal<boolean>;
}

export function createCheck(session: Session, nearness: Nearness, failed: (problem: unknown) => void): Check {
  const wanted = signal(false);
  // A prop that was just opened has no pose yet, and the one before stands in the picture.
  const posed = signal<{ readonly opened: string; readonly findings: readonly FindingView[] } | null>(null);
  const ofPose = computed(() => (posed.value?.opened === session.opened.value ? posed.value.findings : []));
  const checked = signal<{ readonly of: PropView; readonly findings: readonly FindingView[] } | null>(null);
  const fresh = computed(() => (checked.value?.of === session.prop.value ? checked.value : null));

  async function check(of: PropView): Promise<void> {
    try {
      const { findings } = await session.engine.ask("check", {});
      checked.value = { of, findings };
    } catch (problem) {
      failed(problem);
    }
  }

  session.pose.subscribe((pose) => {
    posed.value = pose && { opened: session.opened.peek(), findings: pose.findings };
  });
  effect(() => {
    const view = session.prop.value;
    if (wanted.value && view && checked.peek()?.of !== view) void check(view);
  });

  return {
    pose: computed(() => worstFirst([...ofPose.value, ...(nearness.near.value?.findings ?? [])])),
    prop: computed(() => worstFirst(fresh.value?.findings ?? session.prop.value?.findings ?? [])),
    near: computed(() => nearness.near.value !== null),
    whole: computed(() => fresh.value !== null),
    wanted,
  };
}
