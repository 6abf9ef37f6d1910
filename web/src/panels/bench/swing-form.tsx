/** One drive that swings between its end points, at a pace that can be changed while it does. */

import { useSignal } from "@preact/signals";
import { Overtaken } from "../../engine/engine";
import type { SliderView, SwingView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { LimitSlider } from "../../ui/limit-slider";
import { ACCELERATION, limitText, short, SPEED } from "../../ui/numbers";
import { type Refusal, useRefusal } from "../../ui/refusal";
import { say } from "../../ui/toasts";
import type { Session } from "../../work/session";
import type { Swinger } from "./swinger";

export function SwingForm({ session, swinger }: { session: Session; swinger: Swinger }) {
  const refusal = useRefusal();
  const drives = session.prop.value?.drives ?? [];
  const drive = session.drive.value ?? drives[0];
  if (!drive) return <p class="quiet">No drives yet. Add one, and it can swing here.</p>;
  const [on, swing] = [swinger.on.value, swinger.swing.value];
  const shown = swing?.drive === drive.name ? swing : null;
  return (
    <>
      <p class="quiet">It swings from end point to end point within its speed and acceleration. Stop brings it back to where it stood.</p>
      <div class="row row--end">
        <Field label="Drive to swing">
          {(named) => (
            <Select
              {...named}
              options={drives.map(({ name }) => [name, name] as const)}
              value={drive.name}
              pick={(name) => {
                swinger.stop();
                session.chooseDrive(name);
              }}
            />
          )}
        </Field>
        {on && shown ? (
          <Button icon="pause" words="Stop" kind="main" onClick={swinger.stop} />
        ) : (
          <Button icon="play" words="Swing" kind="main" onClick={() => void refusal.attempt(() => swinger.start(drive.name))} />
        )}
      </div>
      {shown && <Pace session={session} swinger={swinger} swing={shown} refusal={refusal} />}
      <div class="row">
        <Button words="Back to where it began" onClick={() => void refusal.attempt(() => putBack(session, drive.name))} />
        <span class="quiet">90° about 1500 µs, no trim, as fast as its servo. Its address and linkage stay.</span>
      </div>
      <div class="stack stack--close" role="status">
        <Findings findings={[...refusal.findings, ...(shown?.findings ?? [])]} />
      </div>
    </>
  );
}

async function putBack(session: Session, drive: string): Promise<void> {
  await session.change(`Put ${drive} back to where it began`, "reset_drive", { drive });
  say(`${drive} is back to where it began. Undo restores what it had.`);
}

interface PaceProps {
  readonly session: Session;
  readonly swinger: Swinger;
  readonly swing: SwingView;
  readonly refusal: Refusal;
}

function Pace({ session, swinger, swing: { drive, limit, own, sliders, period }, refusal }: PaceProps) {
  const tried = limit.speed !== own.speed || limit.acceleration !== own.acceleration;
  const set = (speed: number | null, acceleration: number | null): void => void refusal.attempt(() => swinger.limit(speed, acceleration));
  // A slider that is on its way asks again by itself.
  const slide = (speed: number | null, acceleration: number | null): void => void refusal.attempt(() => swinger.limit(speed, acceleration).catch(unlessOvertaken));

  async function keep(): Promise<void> {
    const path = session.prop.value?.drives.find(({ name }) => name === drive)?.path ?? "";
    const keys = (["speed", "acceleration"] as const).filter((key) => limit[key] !== own[key]);
    await session.change(`Limits of ${drive}`, "edit_all", { changes: Object.fromEntries(keys.map((key) => [`${path}.${key}`, limit[key]])) });
    await swinger.limit(limit.speed, limit.acceleration);
    say(`Speed and acceleration of ${drive} are in the prop file.`);
  }

  return (
    <div class="stack stack--close">
      <Tried words="Speed" unit={SPEED} limit={limit.speed} slider={sliders.speed} set={(speed) => slide(speed, limit.acceleration)} />
      <Tried words="Acceleration" unit={ACCELERATION} limit={limit.acceleration} slider={sliders.acceleration} set={(slope) => slide(limit.speed, slope)} />
      <p class="quiet">
        There and back takes {short(period)} s. {tried ? "These limits are tried only; the prop file has " : "The prop file has "}
        {limitText(own.speed, SPEED)} and {limitText(own.acceleration, ACCELERATION)}.
      </p>
      {tried && (
        <div class="row">
          <Button words="Keep these limits" onClick={() => void refusal.attempt(keep)} />
          <Button words="Those of the prop file again" kind="plain" onClick={() => set(own.speed, own.acceleration)} />
        </div>
      )}
    </div>
  );
}

function unlessOvertaken(problem: unknown): void {
  if (!(problem instanceof Overtaken)) throw problem;
}

interface TriedProps {
  readonly words: string;
  readonly unit: string;
  readonly limit: number | null;
  readonly slider: SliderView;
  readonly set: (limit: number | null) => void;
}

function Tried({ set, ...rest }: TriedProps) {
  const hand = useSignal<number | null>(null); // ahead of what comes back
  const letGo = (): void => void (hand.value = null);
  return (
    <LimitSlider
      {...rest}
      id={`swing-${rest.words.toLowerCase()}`}
      row="swing__limit"
      hand={hand.value}
      moved={(at, limit) => {
        hand.value = at;
        set(limit);
      }}
      settled={letGo}
      left={letGo}
    />
  );
}
