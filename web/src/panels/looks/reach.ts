/** From picture to values: a part pulled in the picture, a part or a joint brought to what is typed here. Python finds the pose. */

import { field, findingLine, select } from "../../ui/controls";
import { h } from "../../ui/dom";
import { Stale } from "../../engine/engine";
import type { Found, PropView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { positionText, unitText } from "../../ui/units";
import type { Pull } from "../../view/hands";

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
  const joint = select([], {});
  const position = h("input", { type: "number", step: "any", class: "input input--number", "aria-label": "position of the joint", value: 0 });
  const told = h("div", { class: "reached", role: "status" });
  let grip: Point = [0, 0, 0];
  let newest: Promise<void> = Promise.resolve();
  let mine: unknown = null; // the work as this panel left it; any other ends what was told

  session.prop.watch((prop) => {
    link.replaceChildren(...(prop?.links ?? []).map((name) => h("option", { value: name }, name)));
    const joints = (prop?.joints ?? []).filter(({ drives }) => drives.length > 0);
    joint.replaceChildren(...joints.map(({ name, unit }) => h("option", { value: name }, `${name}, ${unitText(unit)}`)));
  });
  session.history.record.watch(({ work }) => work === mine || told.replaceChildren());
  link.addEventListener("change", () => (grip = [0, 0, 0]));

  /** Take the values that Python found for `what`, and tell how far off that is, by what. */
  function take(prop: PropView, found: Found, what: string, unit: string, by: string, merge: string): void {
    const moved = prop.drives.filter(({ name }) => found.values[name] !== session.values()[name]);
    session.setValues(`Move ${what}`, found.values, merge);
    mine = session.history.work();
    const held = found.limits.length > 0 ? ` Held back by ${found.limits.join(", ")}.` : "";
    told.replaceChildren(
      h("p", {}, h("strong", {}, positionText(found.off, unit)), ` from the target, by ${by}.${held}`),
      h("p", { class: "number" }, moved.map(({ name }) => `${name} ${found.values[name]}`).join(" · ")),
      ...found.findings.map((finding) => findingLine(finding)),
    );
  }

  async function find(pull: Pull, joints: readonly string[], merge: string): Promise<void> {
    const prop = session.prop.get();
    if (!prop) return;
    try {
      const found = await session.engine.ask("reach", { ...pull, values: session.values(), joints });
      take(prop, found, pull.link, "mm", joints.length === 1 ? `${joints[0]}` : "all joints on the way", merge);
      session.chosen.set(joints[0] ?? jointOf(prop, link.value));
    } catch (problem) {
      if (!(problem instanceof Stale)) throw problem;
    }
  }

  async function turn(event: Event): Promise<void> {
    event.preventDefault();
    const prop = session.prop.get();
    const turned = prop?.joints.find(({ name }) => name === joint.value);
    if (!prop || !turned) return;
    const wanted = { joint: turned.name, position: Number(position.value), values: session.values() };
    take(prop, await session.engine.ask("turn", wanted), turned.name, turned.unit, turned.drives.join(" and "), "");
    session.chosen.set(turned.name);
    session.history.settle();
  }

  async function go(event: Event): Promise<void> {
    event.preventDefault();
    const target = picturePoint(axes.map((input) => Number(input.value)) as unknown as Point);
    await find({ link: link.value, grip, target }, [], "");
    session.history.settle();
  }

  return {
    element: h(
      "div",
      { class: "stack" },
      h("p", { class: "quiet" }, "In the picture: choose “Turn a joint” or “Pull a part” above the figure and drag. Or by number:"),
      h(
        "form",
        { class: "stack", onsubmit: go },
        field("Part", link),
        h("fieldset", { class: "stack" }, h("legend", { class: "quiet" }, "Target for its frame, mm (x front, y left, z up)"), h("div", { class: "row" }, ...axes)),
        h("div", { class: "row" }, h("button", { type: "submit", class: "button" }, "Find values")),
      ),
      h(
        "form",
        { class: "stack", onsubmit: turn },
        field("Joint", joint),
        h("div", { class: "row" }, position, h("button", { type: "submit", class: "button" }, "Turn to")),
      ),
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
