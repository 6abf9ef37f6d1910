/**
 * Joints while they are placed: which one, by which tool, what was found, how it is turned. The figure stands with
 * every joint at 0 meanwhile, and as the one that is turned by hand has it; the channels keep their values.
 */

import { computed, effect, type ReadonlySignal, type Signal, signal, untracked } from "@preact/signals";
import { Refused } from "../../engine/engine";
import type { AxisView, FindingView, FoundAxis, JointsView, Methods, PlacedJoint, TrialView } from "../../engine/protocol";
import { complain, complainAtHand } from "../../ui/toasts";
import { createAxisMark } from "../../view/axis-mark";
import { createHandles } from "../../view/handles";
import type { Point } from "../../view/hands";
import { shownColour } from "../../view/stage";
import type { View } from "../../view/view";
import type { Session } from "../../work/session";
import { Box3, Vector3 } from "three";

export type Tool = "find" | "move" | "turn";
export type How = Methods["find_axis"]["params"]["how"];

/** A point of a part, in mm of the prop with all joints at 0. */
export interface Spot {
  readonly part: string;
  readonly point: Point;
}

export interface Jointer {
  readonly list: ReadonlySignal<JointsView | null>;
  readonly joint: ReadonlySignal<PlacedJoint | null>;
  readonly tool: Signal<Tool>;
  readonly how: Signal<How>;
  /** How many spots a way to find an axis takes. */
  readonly wanted: ReadonlySignal<number>;
  readonly spots: Signal<readonly Spot[]>;
  /** The axis that is drawn and not taken yet. */
  readonly found: Signal<Pick<FoundAxis, "axis" | "told"> | null>;
  /** Where the handles are while they are dragged. */
  readonly dragged: Signal<AxisView | null>;
  readonly snap: Signal<boolean>;
  readonly trial: Signal<TrialView | null>;
  /** The position that was asked for last and is not answered yet. */
  readonly aimed: Signal<number | null>;
  /** Why the last thing asked was refused. */
  readonly refused: Signal<readonly FindingView[]>;
  choose(joint: string): void;
  /** Do what a button asks for; whatever is refused is told in the panel. Answers whether it was done. */
  asked(doing: () => Promise<unknown>): Promise<boolean>;
  find(): Promise<void>;
  type(point: Point, direction: Point): Promise<void>;
  /** Put the chosen joint on an axis. */
  place(axis: AxisView): Promise<boolean>;
  /** Let the chosen joint turn, slide or do neither. */
  become(type: PlacedJoint["type"]): Promise<void>;
  turn(position: number): Promise<void>;
  stop(which: "low" | "high"): Promise<void>;
  dropStops(): Promise<void>;
}

const NONE: readonly FindingView[] = [];
const SPOTS: Record<How, number> = { round: 1, holes: 2, points: 2, edge: 1, face: 1 };

/** `open` tells whether the panel is at work, `failed` hears of what nobody asked for. */
export function createJointer(session: Session, view: View, open: ReadonlySignal<boolean>, failed: (problem: unknown) => void): Jointer {
  const { engine } = session;
  const list = signal<JointsView | null>(null);
  const picked = signal<string | null>(null);
  const joint = computed(() => list.value?.joints.find(({ name }) => name === picked.value) ?? list.value?.joints[0] ?? null);
  const tool = signal<Tool>("find");
  const how = signal<How>("round");
  const wanted = computed(() => SPOTS[how.value]);
  const spots = signal<readonly Spot[]>([]);
  const found = signal<Pick<FoundAxis, "axis" | "told"> | null>(null);
  const dragged = signal<AxisView | null>(null);
  const snap = signal(true);
  const trial = signal<TrialView | null>(null);
  const aimed = signal<number | null>(null);
  const refused = signal(NONE);
  let names: readonly string[] = []; // of the links in `list`
  let of: unknown = null; // the prop that `list` was read of
  let anew = false; // a figure was shown since the prop became what it is
  let newest: Promise<unknown> = Promise.resolve();

  const size = (): number => (view.figure()?.bounds() ?? new Box3()).getSize(new Vector3()).length() || 0.1;
  const mark = createAxisMark(view.stage, "found", true, () => shownColour("--accent"), size);
  const own = createAxisMark(view.stage, "axis", false, () => shownColour("--brass"), size);
  const handles = createHandles(view.stage, () => snap.value, {
    dragged(at, along) {
      own.show(at, along, null);
      void asked(async () => void (dragged.value = await engine.ask("seen_axis", { at, along })), failed);
    },
    // Once it is placed there the joints are read anew, and the handles stand where it is.
    dropped: (at, along) => void put((label, to) => session.change(label, "drop_joint", { ...to, at, along }, "notes.json")).then((done) => done || drawOwn()),
    cancelled: drawOwn,
  });

  /** Do what was asked, and answer whether it was done; what Python refuses is told in the panel, all else as `tell` does. */
  async function asked(doing: () => Promise<unknown>, tell = complain): Promise<boolean> {
    try {
      refused.value = NONE;
      return (await doing()) !== false;
    } catch (problem) {
      if (problem instanceof Refused) refused.value = problem.findings;
      else tell(problem);
      return false;
    }
  }

  async function read(): Promise<void> {
    const prop = session.prop.peek();
    if (!prop || !open.peek()) return;
    const now = await engine.ask("joint_places", {});
    if (prop !== session.prop.peek() || !open.peek()) return;
    const first = list.peek() === null;
    [names, of] = [prop.links, prop];
    list.value = now;
    // The frames of this list are those of a figure that may be on its way yet: the old one would fall apart in them.
    if (first || anew) stand();
  }

  function stand(): void {
    const links = trial.peek()?.links ?? list.peek()?.links;
    if (!open.peek() || !links) return;
    view.apart.value = true;
    view.act(names, links, 0, null);
  }

  function leave(): void {
    [found.value, trial.value, spots.value, refused.value, list.value] = [null, null, [], NONE, null];
    view.taker = null;
    view.apart.value = false;
    view.rest();
  }

  function drawOwn(): void {
    const shown = open.value ? joint.value : null;
    if (!shown) {
      own.hide();
      handles.hide();
      return;
    }
    dragged.value = null;
    const { at, along } = shown.axis;
    own.hide(); // another figure may be of another size
    own.show(at, along, null);
    if (tool.value === "move") handles.show(at, along);
    else handles.hide();
  }

  /** The nearest joint that can move, from a part towards the root. */
  function movingAbove(part: string): PlacedJoint | null {
    const all = list.peek()?.joints ?? [];
    let above = all.find(({ child }) => child === part);
    while (above && above.type === "fixed") above = all.find(({ child }) => child === above?.parent);
    return above ?? null;
  }

  function choose(name: string): void {
    if (name === joint.peek()?.name) return;
    [picked.value, trial.value, aimed.value, found.value, spots.value, refused.value] = [name, null, null, null, [], NONE];
    session.part.value = joint.peek()?.child ?? null;
    stand();
  }

  async function find(): Promise<void> {
    found.value = null;
    const at = spots.peek().slice(0, wanted.peek());
    await asked(async () => {
      found.value = await engine.ask("find_axis", { how: how.peek(), parts: at.map(({ part }) => part), points: at.map(({ point }) => point) });
    });
  }

  async function pick(part: string, grip: Point): Promise<void> {
    await asked(async () => {
      const point = await engine.ask("spot", { part, point: grip });
      spots.value = [...(spots.peek().length >= wanted.peek() ? [] : spots.peek()), { part, point }];
      if (spots.peek().length === wanted.peek()) await find();
    });
  }

  async function put(change: (label: string, to: Pick<PlacedJoint, "type"> & { readonly joint: string }) => Promise<void>): Promise<boolean> {
    const placed = joint.peek();
    if (!placed) return false;
    const type = placed.type === "fixed" && found.peek() ? "revolute" : placed.type;
    return asked(async () => {
      await change(`Place joint ${placed.name}`, { joint: placed.name, type });
      [found.value, spots.value] = [null, []];
    });
  }

  async function show(ask: () => Promise<TrialView>, tell = complain): Promise<void> {
    newest = asked(async () => {
      const now = await ask();
      if (!open.peek() || now.joint !== joint.peek()?.name) return; // too late: another joint is chosen, or another panel
      trial.value = now;
      stand();
    }, tell);
    await newest;
  }

  effect(() => {
    if (!open.value) {
      leave();
      return;
    }
    session.prop.value;
    anew = false;
    void read().catch(failed);
  });
  effect(() => {
    session.opened.value; // another prop begins where a first one does
    [tool.value, how.value] = ["find", "round"];
  });
  effect(() => {
    view.shown.value; // another figure stands as its file has it
    anew = true;
    const turned = trial.peek();
    trial.value = null;
    if (of === session.prop.peek()) stand();
    if (turned) void show(() => engine.ask("try_joint", { joint: turned.joint, position: turned.position }), failed);
  });
  effect(() => {
    if (tool.value === "turn" || !trial.peek()) return;
    trial.value = null; // what is found and moved is where the joints are 0
    stand();
  });
  effect(drawOwn);
  effect(() => {
    const axis = trial.value ? null : found.value?.axis; // it was found with every joint at 0
    if (axis) mark.show(axis.at, axis.along, axis.radius_mm);
    else mark.hide();
  });
  effect(() => {
    const part = session.part.value;
    const chosen = list.value?.joints.find(({ child }) => child === part);
    if (chosen) untracked(() => choose(chosen.name));
  });
  effect(() => {
    view.taker = open.value
      ? {
          clicked(part, grip) {
            if (part === null || grip === null) return;
            if (tool.peek() === "find") void pick(part, grip);
            else {
              const meant = tool.peek() === "turn" ? movingAbove(part) : list.peek()?.joints.find(({ child }) => child === part);
              if (meant) choose(meant.name);
            }
          },
          takesHold: () => tool.peek() === "turn",
          pulled({ link, grip, target }) {
            const moving = movingAbove(link);
            if (moving) void show(() => engine.ask("pull_joint", { joint: moving.name, link, grip, target, position: trial.peek()?.position ?? 0 }), complainAtHand);
          },
          released: () => undefined,
        }
      : null;
  });

  return {
    list,
    joint,
    tool,
    how,
    wanted,
    spots,
    found,
    dragged,
    snap,
    trial,
    aimed,
    refused,
    choose,
    asked,
    find,
    type: async (point, direction) => void (found.value = { axis: await engine.ask("typed_axis", { point_mm: point, direction }), told: [] }),
    place: ({ point_mm, direction }) => put((label, to) => session.change(label, "place_joint", { ...to, point_mm, direction }, "notes.json")),
    async become(type) {
      const name = joint.peek()?.name;
      if (name) await asked(() => session.change(`${name}: type`, "become_joint", { joint: name, type }));
    },
    async turn(position) {
      const name = joint.peek()?.name;
      if (name === undefined) return;
      aimed.value = position;
      await show(() => engine.ask("try_joint", { joint: name, position }));
      if (aimed.peek() === position) aimed.value = null;
    },
    async stop(which) {
      const name = joint.peek()?.name;
      await newest; // where it was turned to last
      if (name === undefined) return;
      if (joint.peek()?.name !== name) return complain(new Error(`The ${which} stop of ${name} is not set: another joint or panel was chosen before ${name} stood there.`));
      const tried = trial.peek();
      await asked(() => session.change(`Set the ${which} stop of ${name}`, "set_stop", { joint: name, which, position: tried?.joint === name ? tried.position : 0 }));
    },
    async dropStops() {
      const stopped = joint.peek();
      if (stopped) await asked(() => session.edit(`${stopped.path}.stops`, null));
    },
  };
}
