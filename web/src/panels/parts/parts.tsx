/** Parts: which hangs on which, what each is made of, and all that a builder does to them. */

import type { Bench } from "../../bench";
import type { PartView } from "../../engine/protocol";
import { Tree } from "../../ui/tree";
import { Acts } from "./acts";
import { PartSheet } from "./part-sheet";
import { useParts } from "./tree";
import "./parts.css";

const HELD = { revolute: "turns", prismatic: "slides", fixed: "fixed" } as const;

export function Parts({ bench: { session } }: { bench: Bench }) {
  const { parts, form } = useParts(session);
  const rows = parts.value.map((part) => ({ name: part.name, level: part.level, aside: asideOf(part) }));
  const chosen = parts.value.find(({ name }) => name === session.part.value) ?? null;
  return (
    <div class="stack">
      <h2>Parts</h2>
      <Tree label="Parts, each below the one it hangs on" rows={rows} chosen={chosen?.name ?? null} choose={(name) => (session.part.value = name)} />
      <Acts session={session} parts={parts.value} chosen={chosen} />
      {chosen && form.value?.name === chosen.name ? (
        <PartSheet key={chosen.name} session={session} parts={parts.value} form={form.value} />
      ) : (
        <p class="quiet">{chosen ? "Python looks at it…" : "Choose a part here or in the picture to see what it is made of."}</p>
      )}
    </div>
  );
}

/** How a part is held, and what it has no shape of. */
function asideOf({ parent, joint, name, type, shapes }: PartView): string {
  const held = parent === null || type === null ? "carries all others" : `${HELD[type]}${joint === name ? "" : ` at joint ${joint}`}`;
  return shapes === 0 ? `${held}, without a shape` : held;
}
