/** Find a linkage: the movement wanted and the horns at hand; each one found is seen moving before it is taken. */

import { type Signal, untracked, useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Bench } from "../../bench";
import type { CandidateView, DriveView, JointView, Methods, SearchView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Field, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { short } from "../../ui/numbers";
import { Numeral } from "../../ui/numeral";
import { type Refusal, useRefusal } from "../../ui/refusal";
import { needed } from "../../ui/typed-number";
import { positionText, unitText } from "../../ui/units";

const STEP_S = 0.15; // so that channels and picture answer meanwhile
const USUAL = { horns: "8, 10, 12.5, 15, 17.5, 20", arms: "8:40", rods: "20:150" };
const AT = /^\s*(\d+)\s*[:;,\s]\s*(\S+)\s*$/;

type Params = Methods["find_linkage"]["params"];

interface Wish {
  readonly from: string;
  readonly to: string;
  readonly pairs: string;
  readonly transmission: string;
  readonly horns: string;
  readonly arms: string;
  readonly rods: string;
  readonly servoAt: string;
  readonly servoAxis: string;
}

export function FindLinkage({ bench, drive }: { bench: Bench; drive: DriveView }) {
  const { session, linkages } = bench;
  const joint = session.prop.value?.joints.find(({ name }) => name === drive.joint);
  const [low, high] = joint?.stops ?? drive.joint_at_end_points;
  const wish = useSignal<Wish>({
    from: String(round(low)), to: String(round(high)), pairs: "", transmission: "30", ...USUAL, servoAt: "", servoAxis: "",
  });
  const found = useSignal<SearchView | null>(null);
  const running = useSignal(false);
  const buttons = useRef<HTMLDivElement>(null);
  const run = useRef(0); // counts searches begun and dropped: what comes of an earlier one counts no more
  const refusal = useRefusal();
  const of = useRef(new Set<string>()); // texts of the prop that the found hold for: as it was searched, and with one of them taken
  const taking = useRef(false);
  useEffect(() => drop, []);
  useSignalEffect(() => {
    const text = session.prop.value?.text ?? "";
    if (of.current.has(text)) return;
    if (taking.current) of.current.add(text);
    else untracked(drop);
  });

  /** One button comes for the other, never the same with other words: a press is meant for one. The focus goes with them. */
  function turn(on: boolean): void {
    const focused = buttons.current?.contains(document.activeElement);
    running.value = on;
    if (focused) requestAnimationFrame(() => buttons.current?.querySelector("button")?.focus());
  }

  function drop(): void {
    run.current += 1;
    turn(false);
    found.value = null;
    linkages.preview(null);
  }

  async function search(): Promise<void> {
    drop();
    const own = run.current;
    of.current = new Set([session.prop.peek()?.text ?? ""]);
    turn(true);
    try {
      let view = await session.engine.ask("find_linkage", asked(drive, wish.value));
      // Ends: with the search, or when it is stopped.
      while (!view.done && running.peek() && own === run.current) {
        found.value = view;
        view = await session.engine.ask("find_on", { seconds: STEP_S });
      }
      if (own === run.current) found.value = view.done ? view : { ...view, done: true };
    } finally {
      if (own === run.current) turn(false);
    }
  }

  if (!joint || drive.linkage === "differential" || drive.linkage === "nested_shafts") return null;
  return (
    <Fold title="Find a linkage">
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          void refusal.attempt(search);
        }}
      >
        <WishFields wish={wish} joint={joint} drive={drive} />
        <div class="row" ref={buttons}>
          {running.value ? (
            <Button key="stop" words="Stop and keep what was found" onClick={() => turn(false)} />
          ) : (
            <Button key="look" type="submit" words="Look for linkages" kind="main" />
          )}
        </div>
        {running.value && <progress class="progress progress--wide" aria-label="Looking for linkages" />}
        <p class="quiet" role="status">{told(found.value, running.value)}</p>
      </form>
      <Findings findings={refusal.findings} />
      <Found bench={bench} drive={drive} joint={joint} found={found.value} run={run} taking={taking} refusal={refusal} />
    </Fold>
  );
}

function WishFields({ wish, joint, drive }: { wish: Signal<Wish>; joint: JointView; drive: DriveView }) {
  const text = (key: keyof Wish) => ({
    value: wish.value[key],
    typing: (to: string) => void (wish.value = { ...wish.value, [key]: to }),
    commit: (to: string) => void (wish.value = { ...wish.value, [key]: to }),
  });
  return (
    <>
      <div class="row row--end">
        <Field label={`${apart(joint.name)} at value 0, ${unitText(joint.unit)}`}>{(named) => <Numeral {...named} {...text("from")} />}</Field>
        <Field label={`at ${drive.full_scale}, ${unitText(joint.unit)}`}>{(named) => <Numeral {...named} {...text("to")} />}</Field>
      </div>
      <Field label="Horns at hand, mm" hint="Radius of the holes: 8, 10, 12.5 or any of 8:20.">{(named) => <Typed {...named} {...text("horns")} />}</Field>
      <Fold title="More wishes">
        <Field label="Instead: where it stands at some values" hint="One a line, such as 128: 12.5; two or more.">
          {(named) => (
            <textarea {...named} class="input" rows={3} spellcheck={false} value={wish.value.pairs} onInput={(event) => (wish.value = { ...wish.value, pairs: event.currentTarget.value })} />
          )}
        </Field>
        <Field label="Arms on the joint, mm">{(named) => <Typed {...named} {...text("arms")} />}</Field>
        <Field label="Rods, mm">{(named) => <Typed {...named} {...text("rods")} />}</Field>
        <Field label="Least transmission angle, °">{(named) => <Numeral {...named} {...text("transmission")} />}</Field>
        {joint.type === "revolute" && (
          <>
            <Field label="Servo shaft at x, y, z, mm" hint={`For a push-rod, in ${apart(joint.parent)}, such as 28, 35.5, 30. One that is there already is taken where it is.`}>
              {(named) => <Typed {...named} {...text("servoAt")} />}
            </Field>
            <Field label="Direction of the shaft" hint="Such as 1, 0, 0; without one, along the joint’s axis.">{(named) => <Typed {...named} {...text("servoAxis")} />}</Field>
          </>
        )}
      </Fold>
    </>
  );
}

interface FoundProps {
  readonly bench: Bench;
  readonly drive: DriveView;
  readonly joint: JointView;
  readonly found: SearchView | null;
  readonly run: { readonly current: number };
  readonly taking: { current: boolean };
  readonly refusal: Refusal;
}

function Found({ bench: { session, linkages }, drive, joint, found, run, taking, refusal }: FoundProps) {
  const moving = linkages.moving.value;
  if (!found) return null;

  async function move(one: CandidateView): Promise<void> {
    if (moving === one) return linkages.preview(null);
    const { type, dimensions } = one;
    const own = run.current;
    const poses = await session.engine.ask("preview_linkage", { drive: drive.name, type, dimensions, values: session.values() });
    if (own === run.current) linkages.preview(one, poses); // else nothing on the page could stop it
  }

  async function take({ type, dimensions }: CandidateView): Promise<void> {
    linkages.preview(null);
    taking.current = true;
    try {
      await session.change(`Give ${drive.name} a ${type.replaceAll("_", "-")}`, "take_linkage", { drive: drive.name, type, dimensions });
    } finally {
      taking.current = false;
    }
  }

  return (
    <div class="stack">
      <ol class="verdicts found">
        {found.candidates.map((one, at) => (
          <li key={at} class="verdict">
            <span>
              <strong>{at + 1}. {one.type.replaceAll("_", "-")}</strong> {one.made_of}
              <span class="quiet number">
                <br />
                {figures(one, joint)}
              </span>
            </span>
            <span class="row">
              <Button words={moving === one ? "Stop" : "See it move"} aria-pressed={moving === one} name={`${moving === one ? "Stop" : "See it move"}: number ${at + 1}`} onClick={() => void refusal.attempt(() => move(one))} />
              <Button words="Take it" name={`Take it: number ${at + 1}`} onClick={() => void refusal.attempt(() => take(one))} />
            </span>
          </li>
        ))}
      </ol>
      <Findings findings={found.findings} where={false} />
    </div>
  );
}

function figures({ reach, transmission_deg, bend, dead_deg, torque }: CandidateView, { unit }: JointView): string {
  const force = unit === "mm" ? "N for each N·m" : "× torque";
  return [
    `${positionText(reach[0], unit)} to ${positionText(reach[1], unit)}`,
    `least transmission angle ${positionText(transmission_deg, "deg")}`,
    `bends ${positionText(bend, unit)} from a line`,
    dead_deg === null ? "no dead point" : `dead point ${positionText(dead_deg, "deg")} beyond`,
    `${short(torque[0])} and ${short(torque[1])} ${force} at the ends`,
  ].join("; ");
}

function told(found: SearchView | null, running: boolean): string {
  if (running) return found?.doing ? `${found.doing[0]?.toUpperCase()}${found.doing.slice(1)} …` : "Looking …";
  if (!found) return "";
  const { length } = found.candidates;
  return length === 0 ? "None found." : `${length} found, those that push best first.`;
}

function asked(drive: DriveView, wish: Wish): Params {
  const lines = wish.pairs.split("\n").filter((line) => line.trim() !== "");
  const positions = lines.map((line) => {
    const [, value, position] = AT.exec(line) ?? [];
    if (value === undefined || position === undefined) throw new Error(`“${line.trim()}” is no value with its position. Write one as 128: 12.5.`);
    return [Number(value), needed(position, `Position at ${value}`)] as const;
  });
  return {
    drive: drive.name,
    joint: positions.length > 0 ? null : [needed(wish.from, "Position at value 0"), needed(wish.to, "Position at the largest value")],
    positions,
    transmission_deg: needed(wish.transmission, "Least transmission angle"),
    horns: wish.horns,
    arms: wish.arms,
    rods: wish.rods,
    servo_at: wish.servoAt,
    servo_axis: wish.servoAxis,
  };
}

function round(position: number): number {
  return Math.round(position * 10) / 10;
}
