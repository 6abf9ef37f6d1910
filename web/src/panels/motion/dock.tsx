/** The time line below the figure: play, scrub, loop, rate, the cues on the way, and the curves. */

import { useComputed } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Bench } from "../../bench";
import type { CueView, ShowView } from "../../engine/protocol";
import { byId } from "../../ui/browser";
import { Button, Toggle } from "../../ui/button";
import { type Option, Select } from "../../ui/field";
import { clock } from "../../ui/numbers";
import { Slider } from "../../ui/slider";
import { Charts } from "./charts";
import { FilmButton } from "./film-button";
import { percent } from "../strength/words";
import type { Player } from "./player";

const RATES: readonly Option[] = [["0.1", "0.1×"], ["0.25", "0.25×"], ["0.5", "0.5×"], ["1", "1×"], ["2", "2×"], ["4", "4×"], ["8", "8×"], ["16", "16×"], ["60", "60×"]];
const MOST_MARKS = 40; // more cues than that would be a bar without names; the list of cues has them all

export function Dock({ bench }: { bench: Bench }) {
  const show = bench.rehearsal.show.value;
  useEffect(() => {
    byId("dock").hidden = !show;
  }, [!show]);
  if (!show) return null;
  return (
    <>
      <Bar bench={bench} show={show} />
      <div class="dock__scrub">
        {show.cues.length > 0 && show.cues.length <= MOST_MARKS && (
          <div class="cue-marks">
            {show.cues.map((cue, index) => <CueMark key={index} cue={cue} show={show} player={bench.player} />)}
          </div>
        )}
        <PeakMark bench={bench} show={show} />
        <Scrub player={bench.player} show={show} />
      </div>
      <Charts bench={bench} />
    </>
  );
}

function Bar({ bench: { session, rehearsal, player, view }, show }: { bench: Bench; show: ShowView }) {
  const playing = player.playing.value;
  const name = playing ? "Pause" : "Play";
  const waits = session.progress.value.stage === "stopped" ? "Python stands still: start it again, and this goes on." : "waiting for Python…";
  return (
    <div class="dock__bar" role="group" aria-label="Play">
      <Button icon="start" name="To the beginning" short="start" kind="plain" onClick={() => player.seek(0)} />
      <Button icon={playing ? "pause" : "play"} name={name} kind="main" onClick={() => (playing ? player.pause() : player.play())} />
      <Toggle icon="loop" name="Loop" short="loop" on={player.loop} />
      <Select
        options={RATES}
        value={String(player.rate.value)}
        pick={(rate) => (player.rate.value = Number(rate))}
        class="input--fit"
        aria-label="Rate of play"
      />
      <Clock player={player} show={show} />
      <span class="quiet" role="status">{player.waiting.value && waits}</span>
      <span class="dock__gap" />
      <Toggle icon="ghost" name="Commanded pose beside the real one" short="ghost" on={player.ghost} />
      <FilmButton rehearsal={rehearsal} player={player} view={view} />
      <Button icon="close" name="Close the show" short="close" kind="plain" onClick={rehearsal.close} />
    </div>
  );
}

function Clock({ player, show }: { player: Player; show: ShowView }) {
  const time = player.time.value;
  return (
    <>
      <span class="number dock__time">{clock(time)} / {clock(show.end)}</span>
      <span class="quiet dock__cue">{cueAt(show, time)?.name}</span>
    </>
  );
}

function Scrub({ player, show }: { player: Player; show: ShowView }) {
  const time = player.time.value;
  // In words; not while it plays, which nobody could listen to.
  const words = useComputed(() => (player.playing.value ? "playing" : clock(player.time.value)));
  return (
    <Slider
      class="scrub"
      min={show.begin}
      max={show.end}
      step={0.02}
      value={time}
      aria-label="Time in the show"
      aria-valuetext={[words.value, player.playing.value ? "" : cueAt(show, time)?.name].filter(Boolean).join(", ")}
      slide={player.seek}
      onKeyDown={(event) => {
        if (event.key !== " ") return;
        event.preventDefault();
        if (player.playing.value) player.pause();
        else player.play();
      }}
    />
  );
}

/** The cue that a show is in at a time. */
function cueAt(show: ShowView, time: number): CueView | undefined {
  return show.cues.findLast((cue) => cue.begin <= time);
}

function CueMark({ cue, show, player }: { cue: CueView; show: ShowView; player: Player }) {
  const place = {
    insetInlineStart: `${shareAt(show, cue.begin) * 100}%`,
    inlineSize: `${shareAt(show, show.begin + cue.fade + cue.hold) * 100}%`,
  };
  return (
    <button type="button" class="cue-mark" style={place} aria-label={`Go to cue ${cue.name} at ${clock(cue.begin)}`} onClick={() => player.seek(cue.begin)}>
      {cue.name}
    </button>
  );
}

/** Where in the show the servo that it asks most of gives most, once that is known. */
function PeakMark({ bench: { prover, player }, show }: { bench: Bench; show: ShowView }) {
  const proof = prover.ofShow.value ? prover.proof.value : null;
  const drive = proof?.drives.find((each) => each.drive === proof.hardest);
  if (!drive?.moving) return null;
  const { peak, peak_at_s } = drive.moving;
  const share = shareAt(show, peak_at_s);
  // Towards the middle of the line, so that no end of it cuts the words off.
  const place = share < 0.5 ? { insetInlineStart: `${share * 100}%` } : { insetInlineEnd: `${(1 - share) * 100}%` };
  return (
    <div class="peak-marks">
      <button
        type="button"
        class={share < 0.5 ? "peak-mark" : "peak-mark peak-mark--end"}
        style={place}
        aria-label={`${drive.drive} ${percent(peak)} of its stall torque, the most in this show: go to ${clock(peak_at_s)}`}
        onClick={() => player.seek(peak_at_s)}
      >
        {`${drive.drive} ${percent(peak)}`}
      </button>
    </div>
  );
}

/** How far into a show a time is, from 0 to 1. */
function shareAt({ begin, end }: ShowView, time: number): number {
  return (time - begin) / Math.max(end - begin, 1e-9);
}
