/** The tree of parts as Python has it, kept in step with the prop, and the form of the part that is chosen. */

import { type ReadonlySignal, signal, useSignalEffect } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { Refused } from "../../engine/engine";
import type { PartForm, PartView } from "../../engine/protocol";
import { complainUnasked } from "../../ui/toasts";
import type { Session } from "../../work/session";

export interface PartsAtHand {
  readonly parts: ReadonlySignal<readonly PartView[]>;
  /** The chosen part, as it stands in the prop that is shown; null where none is chosen. */
  readonly form: ReadonlySignal<PartForm | null>;
}

export function useParts(session: Session): PartsAtHand {
  const [parts, form] = useMemo(() => [signal<readonly PartView[]>([]), signal<PartForm | null>(null)] as const, []);

  useSignalEffect(() => {
    const prop = session.prop.value;
    if (!prop) return;
    const still = (): boolean => session.prop.peek() === prop;
    void session.engine.ask("part_tree", {}).then((found) => still() && (parts.value = found.parts)).catch(unlessGone);
  });

  useSignalEffect(() => {
    const [prop, part] = [session.prop.value, session.part.value];
    if (!prop || part === null || !prop.links.includes(part)) {
      form.value = null;
      return;
    }
    const still = (): boolean => session.prop.peek() === prop && session.part.peek() === part;
    void session.engine.ask("part_form", { part }).then((found) => still() && (form.value = found)).catch(unlessGone);
  });

  return { parts, form };
}

/** A question that came too late for its prop, or to an engine that has stopped, is asked again with the next. */
function unlessGone(problem: unknown): void {
  if (!(problem instanceof Refused)) complainUnasked(problem);
}
