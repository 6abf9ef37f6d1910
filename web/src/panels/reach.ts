/** From picture to values: a part pulled in the picture, or brought to a point typed here. Python finds the pose. */

import { field, findingLine, select } from "../controls";
import { h } from "../dom";
import { Stale } from "../engine";
import type { Found, PropView } from "../protocol";
import type { Session } from "../session";
import type { Pull } from "../view/hands";

type Point = readonly [number, number, number];

export interface Reach {
  readonly element: HTMLElement;
  /** What the last pull came to. */
  readonly told: HTMLElement;
  /** A part is pulled in the picture: turn its own joint alone, or all on the way to it. */
  pull(pull: Pull, how: "turn" | "reach"): Promise<void>;
  /** The part is let go. */
  release(): void;
}

export function createReach(session: Session): Reach {
  const link = select([], {});
  const axes = ["x", "y", "z"].map((axis) =>
    h("input", { type: "number", step: "1", class: "input input--number", "aria-label": `target ${axis}, mm`, value: 0 }),
  );
  const told = h("div", { class: "reached", role: "status" });
  let grip: Point = [0, 0, 0];
  let newest: Promise<void> = Promise.resolve();
  let mine: unknown = null; // the work as this panel left it; any other ends what was told

  session.prop.watch((prop) => {
    link.replaceChildren(...(prop?.links ?? []).map((name) => h("option", { value: name }, name)));
  });
  session.history.record.watch(({ work }) => work === mine || told.replaceChildren());
  link.addEventListener("change", () => (grip = [0, 0, 0]));

  function tell(prop: PropView, found: Found, moved: readonly string[], joints: readonly string[]): void {
    const by = joints.length === 1 ? joints[0] : "all joints on the way";
    const held = found.limits.length > 0 ? ` Held back by ${found.limits.join(", ")}.` : "";
    told.replaceChildren(
      h("p", {}, h("strong", {}, `${found.off.toFixed(1)} mm`), ` from the target, by ${by}.${held}`),
      h("p", { class: "number" }, moved.map((name) => `${name} ${found.values[name]}`).join(" · ")),
      ...found.findings.map((finding) => findingLine(finding)),
    );
    session.chosen.set(joints[0] ?? jointOf(prop, link.value));
  }

  async function find(pull: Pull, joints: readonly string[], merge: string): Promise<void> {
    const prop = session.prop.get();
    if (!prop) return;
    try {
      const found = await session.engine.ask("reach", { ...pull, values: session.values(), joints });
      const moves = prop.drives.filter(({ name }) => found.values[name] !== session.values()[name]);
      session.setValues(`Move ${pull.link}`, found.values, merge);
      mine = session.history.work();
      tell(prop, found, moves.map(({ name }) => name), joints);
    } catch (problem) {
      if (!(problem instanceof Stale)) throw problem;
    }
  }

  async function go(event: Event): Promise<void> {
    event.preventDefault();
    const target = picturePoint(axes.map((input) => Number(input.value)) as unknown as Point);
    await find({ link: link.value, grip, target }, [], "");
    session.history.settle();
  }

  return {
    element: h(
      "form",
      { class: "stack", onsubmit: go },
      h("p", { class: "quiet" }, "In the picture: choose “Turn a joint” or “Pull a part” above the figure and drag. Or by number:"),
      field("Part", link),
      h("fieldset", { class: "stack" }, h("legend", { class: "quiet" }, "Target for its frame, mm (x front, y left, z up)"), h("div", { class: "row" }, ...axes)),
      h("div", { class: "row" }, h("button", { type: "submit", class: "button" }, "Find values")),
    ),
    told,

    async pull(pull, how) {
      link.value = pull.link;
      grip = pull.grip;
      propPoint(pull.target).forEach((mm, index) => {
        const input = axes[index];
        if (input) input.value = mm.toFixed(0);
      });
      const prop = session.prop.get();
      const joint = prop && jointOf(prop, pull.link);
      if (how === "turn" && !joint) told.replaceChildren(h("p", {}, `${pull.link} does not move.`));
      else await (newest = find(pull, how === "turn" && joint ? [joint] : [], `pull ${pull.link}`));
    },

    // What was asked last may still be on its way, and belongs to the same step of undo.
    release: () => void newest.finally(() => session.history.settle()),
  };
}

/** The joint that carries a link; null for the root and what is fixed to it. */
export function jointOf(prop: PropView, link: string | null): string | null {
  return prop.joints.find(({ child }) => child === link)?.name ?? null;
}

// The picture is in metres with +Y up and +Z front, the prop in mm with +Z up and +X front: the same axes, renamed.
function picturePoint([x, y, z]: Point): Point {
  return [y / 1000, z / 1000, x / 1000];
}

function propPoint([x, y, z]: Point): Point {
  return [z * 1000, x * 1000, y * 1000];
}
