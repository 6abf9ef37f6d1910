/** Speed and acceleration of each drive, to be moved while the show plays, with what it comes to beside them. */

import { useSignal } from "@preact/signals";
import type { DriveReadingView, DriveView, SliderView } from "../../engine/protocol";
import { LimitSlider } from "../../ui/limit-slider";
import { ACCELERATION, short, SPEED } from "../../ui/numbers";
import { complain } from "../../ui/toasts";
import type { Session } from "../../work/session";
import type { Rehearsal } from "./rehearsal";

export function Limits({ session, rehearsal }: { session: Session; rehearsal: Rehearsal }) {
  return (
    <ul class="limits">
      {session.prop.value?.drives.map((drive) => (
        <DriveLimits key={drive.name} session={session} rehearsal={rehearsal} drive={drive} />
      ))}
    </ul>
  );
}

function DriveLimits({ session, rehearsal, drive }: { session: Session; rehearsal: Rehearsal; drive: DriveView }) {
  const show = rehearsal.show.value;
  const [limit, sliders] = [show?.limits[drive.name], show?.sliders[drive.name]];
  const reading = rehearsal.readings.value?.drives.find((each) => each.drive === drive.name);
  return (
    <li
      class={session.chosen.value !== null && session.drive.value?.name === drive.name ? "limit limit--chosen" : "limit"}
      data-drive={drive.name}
      onFocusIn={() => session.chooseDrive(drive.name)}
    >
      <h3>{drive.name}</h3>
      {limit && sliders && (
        <>
          <DriveLimit session={session} drive={drive} side="speed" words="Speed" unit={SPEED} limit={limit.speed} slider={sliders.speed} />
          <DriveLimit
            session={session}
            drive={drive}
            side="acceleration"
            words="Acceleration"
            unit={ACCELERATION}
            limit={limit.acceleration}
            slider={sliders.acceleration}
          />
        </>
      )}
      <p class="limit__told quiet">{reading ? readingText(reading) : "…"}</p>
    </li>
  );
}

/** How a drive keeps up, in a sentence. */
function readingText(reading: DriveReadingView): string {
  if (reading.top_speed === 0) return "Does not move in this show.";
  if (reading.stops === 0) return `Never stops in this show; top speed ${short(reading.top_speed)} ${SPEED}.`;
  const arrives = reading.arrives ? "Reaches every stop" : `Misses ${reading.missed} of ${reading.stops} stops`;
  return `${arrives}, ${short(reading.lag_s)} s late at most; top speed ${short(reading.top_speed)} ${SPEED}.`;
}

interface DriveLimitProps {
  readonly session: Session;
  readonly drive: DriveView;
  readonly side: "speed" | "acceleration";
  readonly words: string;
  readonly unit: string;
  readonly limit: number | null;
  readonly slider: SliderView;
}

function DriveLimit({ session, drive, side, ...rest }: DriveLimitProps) {
  const path = `${drive.path}.${side}`;
  const hand = useSignal<{ at: number } | null>(null); // ahead of what comes back

  function send(at: number, limit: number | null): void {
    const wanted = { at };
    hand.value = wanted;
    const done = (): void => void (hand.peek() === wanted && (hand.value = null));
    session.edit(path, limit, path).catch(complain).finally(done);
  }

  return (
    <LimitSlider
      {...rest}
      id={`limit-${drive.name}-${side}`}
      row="limit__row"
      hand={hand.value?.at ?? null}
      moved={send}
      settled={() => session.history.settle()}
    />
  );
}
