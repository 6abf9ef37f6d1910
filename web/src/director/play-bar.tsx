/** Play, pause, the time of the show. */

import { Button } from "../ui/button";
import { clock } from "../ui/numbers";
import { Slider } from "../ui/slider";
import type { Player } from "./player";

export function PlayBar({ player }: { player: Player }) {
  const show = player.show.value;
  if (!show) return null;
  const [time, playing] = [player.time.value, player.playing.value];
  const cue = show.cues.findLast(([begin]) => begin <= time)?.[1];
  const toggle = (): void => (playing ? player.pause() : player.play());
  return (
    <div class="play" role="group" aria-label="Play">
      <Button icon={playing ? "pause" : "play"} name={playing ? "Pause" : "Play"} kind="main" onClick={toggle} />
      <Slider
        min={show.begin}
        max={player.end.value}
        step={0.02}
        value={time}
        aria-label="Time in the show"
        aria-valuetext={playing ? "playing" : [clock(time), cue].filter(Boolean).join(", ")}
        slide={player.seek}
        onKeyDown={(event) => {
          if (event.key !== " ") return;
          event.preventDefault();
          toggle();
        }}
      />
      <span class="number play__time">{clock(time)} / {clock(player.end.value)}</span>
      {cue && <span class="quiet play__cue"><bdi>{cue}</bdi></span>}
    </div>
  );
}
