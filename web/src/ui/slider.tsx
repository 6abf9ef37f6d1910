/** A slider. One that a finger only scrolls away over stays where it is. */

import { useSignal } from "@preact/signals";
import type { HTMLAttributes } from "preact";

interface SliderProps extends Omit<HTMLAttributes<HTMLInputElement>, "onInput" | "onChange" | "onPointerDown" | "onPointerUp" | "onPointerCancel" | "class" | "role"> {
  readonly class?: string;
  readonly min: number;
  readonly max: number;
  readonly step: number;
  readonly value: number;
  /** Hears of every place on the way. */
  readonly slide: (to: number) => void;
  /** Hears that the hand has let go of it. */
  readonly settled?: () => void;
}

/** A finger that may yet turn out to scroll, and where it has put the slider meanwhile. */
interface Finger {
  readonly at: number | null;
}

/**
 * Browsers set a slider where a finger touches it, before they know whether the finger is about to scroll. That place
 * is held back until the finger lifts, which makes it a tap, or moves the slider on; it is dropped where the browser
 * takes the finger away to scroll with it. Mouse and keyboard are never in doubt.
 */
export function Slider({ value, slide, settled, class: more, ...rest }: SliderProps) {
  const finger = useSignal<Finger | null>(null);

  function take(to: number): void {
    finger.value = null;
    slide(to);
  }

  function lift(): void {
    const at = finger.peek()?.at ?? null;
    finger.value = null;
    if (at !== null) take(at);
  }

  return (
    <input
      {...rest}
      type="range"
      class={more ? `slider ${more}` : "slider"}
      value={finger.value?.at ?? value}
      onPointerDown={({ pointerType }) => (finger.value = pointerType === "touch" ? { at: null } : null)}
      onPointerUp={lift}
      onPointerCancel={() => (finger.value = null)}
      onInput={({ currentTarget: { valueAsNumber } }) => {
        if (finger.peek()?.at === null) finger.value = { at: valueAsNumber };
        else take(valueAsNumber);
      }}
      onChange={settled}
    />
  );
}
