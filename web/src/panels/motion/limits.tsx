/** Speed and acceleration of each drive, to be moved while the show plays, with what it comes to beside them. */

import { useSignal } from "@preact/signals";
import type { DriveReadingView, DriveView, SliderView } from "../../engine/protocol";
import { ACCELERATION, limitText, short, SPEED } from "../../ui/numbers";
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
      <h4 class="limit__name">{drive.name}</h4>
      {limit && sliders && (
        <>
          <LimitSlider session={session} drive={drive} side="speed" words="Speed" unit={SPEED} limit={limit.speed} slider={sliders.speed} />
          <LimitSlider
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

interface LimitSliderProps {
  readonly session: Session;
  readonly drive: DriveView;
  readonly side: "speed" | "acceleration";
  readonly words: string;
  readonly unit: string;
  readonly limit: number | null;
  readonly slider: SliderView;
}

function LimitSlider({ session, drive, side, words, unit, limit, slider }: LimitSliderProps) {
  const path = `${drive.path}.${side}`;
  const id = `limit-${drive.name}-${side}`;
  const hand = useSignal<{ at: number } | null>(null); // ahead of what comes back
  const shown = hand.value ? (slider.limits[hand.value.at] ?? null) : limit;

  function send(at: number): void {
    const wanted = { at };
    hand.value = wanted;
    const done = (): void => void (hand.peek() === wanted && (hand.value = null));
    session.edit(path, slider.limits[at] ?? null, path).catch(complain).finally(done);
  }

  return (
    <div class="limit__row">
      <label for={id} class="quiet">{words}</label>
      <input
        type="range"
        class="slider"
        id={id}
        min={0}
        max={slider.limits.length}
        step={1}
        value={hand.value ? hand.value.at : slider.at}
        aria-valuetext={shown === null ? "no limit" : `${shown} ${unit}`}
        onInput={(event) => send(event.currentTarget.valueAsNumber)}
        onChange={() => session.history.settle()}
      />
      <output class="number" for={id}>{limitText(shown, unit)}</output>
    </div>
  );
}
