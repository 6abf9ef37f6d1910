/** A limit of speed or acceleration as a slider over those that Python offers; the last place is none. */

import type { SliderView } from "../engine/protocol";
import { limitText } from "./numbers";
import { Slider } from "./slider";

interface Props {
  readonly id: string;
  readonly row: string;
  readonly words: string;
  readonly unit: string;
  readonly slider: SliderView;
  /** The limit that holds, for as long as no hand is ahead of it. */
  readonly limit: number | null;
  /** The place that a hand has moved it to and that has not come back yet. */
  readonly hand: number | null;
  readonly moved: (at: number, limit: number | null) => void;
  readonly settled: () => void;
  readonly left?: () => void;
}

export function LimitSlider({ id, row, words, unit, slider, limit, hand, moved, settled, left }: Props) {
  const at = (place: number): number | null => slider.limits[place] ?? null;
  const shown = hand === null ? limit : at(hand);
  return (
    <div class={row}>
      <label for={id} class="quiet">{words}</label>
      <Slider
        id={id}
        min={0}
        max={slider.limits.length}
        step={1}
        value={hand ?? slider.at}
        aria-valuetext={shown === null ? "no limit" : `${shown} ${unit}`}
        slide={(place) => moved(place, at(place))}
        onBlur={left}
        settled={settled}
      />
      <output class="number" for={id}>{limitText(shown, unit)}</output>
    </div>
  );
}
