/** The time line below the figure: play, scrub, loop, rate, the cues on the way, and the curves. */

import { button, press, select, toggle } from "../../ui/controls";
import { byId, download, h } from "../../ui/dom";
import { icon } from "../../ui/icons";
import type { Curves } from "./curves";
import { startFilm, whyNoFilm, type Film } from "./film";
import { clock } from "../../ui/numbers";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";
import type { CueView, ShowView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { complain, say } from "../../ui/toasts";
import type { View } from "../../view/view";
import { type Charts, charts } from "./charts";

const RATES: readonly (readonly [string, string])[] = [["0.1", "0.1×"], ["0.25", "0.25×"], ["0.5", "0.5×"], ["1", "1×"], ["2", "2×"], ["4", "4×"], ["8", "8×"], ["16", "16×"], ["60", "60×"]];

const MOST_MARKS = 40; // more cues than that would be a bar without names; the list of cues has them all

export function fillDock(session: Session, rehearsal: Rehearsal, player: Player, curves: Curves, view: View): Charts {
  const dock = byId("dock");
  const play = button({ drawn: "play", name: "Play", kind: "main" }, () => (player.playing.get() ? player.pause() : player.play()));
  const start = button({ drawn: "start", name: "To the beginning", kind: "plain" }, () => player.seek(0));
  const loop = toggle("loop", "Loop", player.loop.set);
  const ghost = toggle("ghost", "Commanded pose beside the real one", player.ghost.set);
  const rate = select(RATES, { class: "input input--fit", "aria-label": "Rate of play" });
  const scrub = h("input", { type: "range", class: "slider scrub", min: 0, step: 0.02, "aria-label": "Time in the show" });
  const time = h("output", { class: "number dock__time" });
  const state = h("span", { class: "quiet", role: "status" });
  const cue = h("span", { class: "quiet dock__cue" });
  const cues = h("div", { class: "cue-marks" });
  const film = filmButton(rehearsal, player, view);
  const chart = charts(session, rehearsal, player, curves);

  rate.value = "1";
  rate.addEventListener("change", () => player.rate.set(Number(rate.value)));
  scrub.addEventListener("input", () => player.seek(scrub.valueAsNumber));
  scrub.addEventListener("keydown", (event) => {
    if (event.key !== " ") return;
    event.preventDefault();
    play.click();
  });

  function follow(): void {
    const show = rehearsal.show.get();
    if (!show) return;
    const now = player.time.get();
    scrub.value = String(now);
    if (!player.playing.get()) tellTime();
    time.textContent = `${clock(now)} / ${clock(show.end)}`;
    cue.textContent = cueAt(show, now)?.name ?? "";
  }

  /** In words; not while it plays, which nobody could listen to. */
  function tellTime(): void {
    const show = rehearsal.show.get();
    const now = player.time.get();
    if (show) scrub.setAttribute("aria-valuetext", [clock(now), cueAt(show, now)?.name].filter(Boolean).join(", "));
  }

  player.time.watch(follow);
  player.playing.watch((playing) => {
    tellTime();
    play.replaceChildren(icon(playing ? "pause" : "play"));
    play.setAttribute("aria-label", playing ? "Pause" : "Play");
    play.title = playing ? "Pause" : "Play";
  });
  player.waiting.watch((waiting) => (state.textContent = waiting ? "waiting for Python…" : ""));
  player.loop.watch((on) => press(loop, on));
  rehearsal.show.watch((show) => {
    dock.hidden = show === null;
    if (!show) return;
    scrub.min = String(show.begin);
    scrub.max = String(show.end);
    cues.replaceChildren(...show.cues.slice(0, MOST_MARKS).map((cue) => mark(cue, show)));
    cues.hidden = show.cues.length === 0 || show.cues.length > MOST_MARKS;
    follow();
  });

  function mark(cue: CueView, show: ShowView): HTMLElement {
    const made = button({ words: cue.name, kind: "plain", class: "cue-mark", "aria-label": `Go to cue ${cue.name} at ${clock(cue.begin)}` }, () => player.seek(cue.begin));
    const whole = Math.max(show.end - show.begin, 1e-9);
    made.style.insetInlineStart = `${((cue.begin - show.begin) / whole) * 100}%`;
    made.style.inlineSize = `${((cue.fade + cue.hold) / whole) * 100}%`;
    return made;
  }

  dock.replaceChildren(
    h(
      "div",
      { class: "dock__bar", role: "group", "aria-label": "Play" },
      start,
      play,
      loop,
      rate,
      time,
      cue,
      state,
      h("span", { class: "dock__gap" }),
      ghost,
      film,
      button({ drawn: "close", name: "Close the show", kind: "plain" }, rehearsal.close),
    ),
    h("div", { class: "dock__scrub" }, cues, scrub),
    chart.controls,
    chart.element,
  );
  return chart;
}

/** The cue that a show is in at a time. */
function cueAt(show: ShowView, time: number): CueView | undefined {
  return show.cues.findLast((cue) => cue.begin <= time);
}

/** Records from here until the show ends, or until it is pressed again. */
function filmButton(rehearsal: Rehearsal, player: Player, view: View): HTMLButtonElement {
  let film: Film | null = null;
  const reason = whyNoFilm();
  const made = button({ drawn: "film", name: reason ?? "Film this view while it plays (WebM)", "aria-pressed": "false", disabled: reason !== null }, () => {
    if (film) player.pause();
    else begin();
  });

  function begin(): void {
    player.loop.set(false);
    film = startFilm(view.stage.canvas);
    press(made, true);
    say("Recording. It ends with the show, or when you press again.");
    player.play();
  }

  player.playing.watch((playing) => {
    if (playing || !film) return;
    const [done, name] = [film, rehearsal.show.get()?.name ?? "show"];
    film = null;
    press(made, false);
    done.stop().then((file) => download(`${name}.webm`, file, "video/webm"), complain);
  });
  return made;
}
