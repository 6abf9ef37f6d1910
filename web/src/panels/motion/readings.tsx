/** What was read from the motion, in tables; two settings side by side. */

import { useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import type { DriveReadingView, ReadingsView, StepView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { ACCELERATION, clock, limitText, short, SPEED } from "../../ui/numbers";
import { Table } from "../../ui/table";
import type { Rehearsal } from "./rehearsal";

export function Readings({ rehearsal }: { rehearsal: Rehearsal }) {
  const file = rehearsal.show.value?.file ?? "";
  // Another show begins anew; the same under other limits keeps what was read until the new is here.
  return <ReadingsOf key={file} rehearsal={rehearsal} />;
}

function ReadingsOf({ rehearsal }: { rehearsal: Rehearsal }) {
  const now = rehearsal.readings.value;
  const last = useRef<ReadingsView | null>(null);
  last.current = now ?? last.current;
  const shown = last.current;
  return (
    <div class="stack">
      {!now && (
        <div class="stack">
          <p class="quiet">Not analysed yet. A long show takes a while, and playback waits meanwhile.</p>
          <div class="row">
            <Button words="Analyse this show" onClick={() => void rehearsal.read()} />
          </div>
        </div>
      )}
      {shown && (
        <div class="stack">
          <p>{shown.summary}</p>
          <Findings findings={shown.findings} />
          <Fold title="How each drive follows" open>
            <DriveTable now={shown} />
          </Fold>
          <Fold title="Two settings side by side">
            <Comparison now={shown} />
          </Fold>
          <Fold title="Top speed of joints and parts">
            <SpeedTable now={shown} />
          </Fold>
          <Fold title="What one step moves">
            <StepTable now={shown} />
          </Fold>
        </div>
      )}
    </div>
  );
}

function DriveTable({ now }: { now: ReadingsView }) {
  const heads = ["drive", "arrives", "late s", "at", "short °", `top ${SPEED}`, `top ${ACCELERATION}`, "at speed limit s", "at acceleration limit s"];
  const rows = now.drives.map((reading) => [
    reading.drive,
    arrival(reading),
    short(reading.lag_s),
    clock(reading.lag_at),
    short(reading.short_deg),
    short(reading.top_speed),
    reading.top_acceleration === null ? "jumps" : short(reading.top_acceleration),
    short(reading.at_speed),
    short(reading.at_acceleration),
  ]);
  return <Table caption="How each drive follows" heads={heads} rows={rows} />;
}

function arrival({ arrives, missed, stops }: DriveReadingView): string {
  return stops === 0 ? "no stop" : arrives ? "yes" : `no: ${missed} of ${stops} missed`;
}

function Comparison({ now }: { now: ReadingsView }) {
  const held = useSignal<ReadingsView | null>(null);
  return (
    <div class="stack">
      <p class="quiet">Keep the limits as they are, then change some to compare the two over the same show.</p>
      <div class="row">
        <Button
          words={held.value ? "Compare with this setting instead" : "Keep this setting to compare"}
          onClick={() => (held.value = now)}
        />
      </div>
      {held.value && <Versus before={held.value} now={now} />}
    </div>
  );
}

function Versus({ before, now }: { before: ReadingsView; now: ReadingsView }) {
  const heads = ["drive", `${SPEED} kept`, "now", `${ACCELERATION} kept`, "now", "late s kept", "now", "missed kept", "now"];
  const rows = now.drives.map((reading) => {
    const old = before.drives.find(({ drive }) => drive === reading.drive);
    const [was, is] = [before.limits[reading.drive], now.limits[reading.drive]];
    return [
      reading.drive,
      limitText(was?.speed ?? null, ""),
      limitText(is?.speed ?? null, ""),
      limitText(was?.acceleration ?? null, ""),
      limitText(is?.acceleration ?? null, ""),
      old ? short(old.lag_s) : "",
      short(reading.lag_s),
      old ? old.missed : "",
      reading.missed,
    ];
  });
  return <Table caption="Two settings side by side" heads={heads} rows={rows} />;
}

function SpeedTable({ now }: { now: ReadingsView }) {
  const rows = [...now.joints, ...now.parts].map(({ name, speed, unit, at }) => [name, `${short(speed)} ${unit.replace("deg", "°")}`, clock(at)]);
  return <Table caption="Top speed of joints and parts" heads={["joint or part", "speed", "at"]} rows={rows} />;
}

function StepTable({ now }: { now: ReadingsView }) {
  const size = (step: StepView): string => `${short(step.joint)} ${step.unit.replace("deg", "°")}, ${short(step.tip_mm)} mm`;
  const rows = now.drives.map((reading) => [reading.drive, size(reading.own), size(reading.coarse), size(reading.fine), reading.own.part]);
  return (
    <div class="stack">
      <p class="quiet">
        The largest move of one step, at the joint and at the part's outermost point. “Seen now” is one step of the drive's own resolution,
        or the servo's deadband where that is larger.
      </p>
      <Table caption="What one step moves" heads={["drive", "seen now", "8 bit", "16 bit", "part"]} rows={rows} />
    </div>
  );
}
