/** What stands on the bench for every panel and bar: the work, the picture, and what is read of both. */

import { computed, type Signal, signal } from "@preact/signals";
import { createNearness, type Nearness } from "./panels/clearance/nearness";
import { createSwinger, type Swinger } from "./panels/bench/swinger";
import { createSurveyor, type Surveyor } from "./panels/clearance/surveyor";
import { createLinkages, type Linkages } from "./panels/drives/linkages";
import { createCheck, type Check } from "./panels/findings/check";
import { createJointer, type Jointer } from "./panels/joints/jointer";
import { createReach, type Reach } from "./panels/looks/reach";
import { createNoted, type Noted } from "./panels/notes/noted";
import { createCurves, type Curves } from "./panels/motion/curves";
import { createPlayer, type Player } from "./panels/motion/player";
import { createRehearsal, type Rehearsal } from "./panels/motion/rehearsal";
import { createFaller, type Faller } from "./panels/strength/faller";
import { createProver, type Prover } from "./panels/strength/prover";
import { createStrength, type Strength } from "./panels/strength/strength";
import { complainUnasked, tellChanged } from "./ui/toasts";
import { createView, type View } from "./view/view";
import type { Place } from "./work/benches";
import type { Journal } from "./work/journal";
import { createSecond, type Second } from "./work/second";
import { servedPicture } from "./work/served-picture";
import { createSession, type Session } from "./work/session";

export interface Bench {
  readonly session: Session;
  readonly view: View;
  readonly reach: Reach;
  readonly jointer: Jointer;
  readonly nearness: Nearness;
  readonly surveyor: Surveyor;
  readonly check: Check;
  readonly linkages: Linkages;
  readonly rehearsal: Rehearsal;
  readonly player: Player;
  readonly curves: Curves;
  readonly swinger: Swinger;
  /** A second worker, for what takes long. */
  readonly second: Second;
  readonly strength: Strength;
  readonly prover: Prover;
  readonly faller: Faller;
  readonly noted: Noted;
  /** Take a file from the builder's disk: it is kept first and judged after. Rejects with what is wrong with it. */
  readonly take: (file: File) => Promise<void>;
  /** The panel that is open. */
  readonly panel: Signal<string>;
  /** Whether the panels are shown, where there is no room for them beside the figure. */
  readonly controls: Signal<boolean>;
}

/** A bench at a place, in this part of the page; `take` takes files that come to it. */
export function createBench(holder: HTMLElement, place: Place, journal: Journal, take: Bench["take"]): Bench {
  const session = createSession(journal, place.mine, servedPicture, complainUnasked, tellChanged);
  const view = createView(holder);
  const rehearsal = createRehearsal(session, complainUnasked);
  const nearness = createNearness(session, view, complainUnasked);
  const player = createPlayer(session, rehearsal, view, complainUnasked);
  const second = createSecond(session);
  const prover = createProver(session, second, rehearsal);
  const panel = signal("channels");
  const controls = signal(false);
  panel.subscribe((now) => now === "joints" && player.leave()); // there it stands with every joint at 0
  return {
    session,
    view,
    reach: createReach(session),
    // While a show plays, the figure is the show's.
    jointer: createJointer(session, view, computed(() => panel.value === "joints" && !player.playing.value), complainUnasked),
    nearness,
    check: createCheck(session, nearness, complainUnasked),
    surveyor: createSurveyor(session, second),
    linkages: createLinkages(session, view, complainUnasked),
    rehearsal,
    player,
    curves: createCurves(session, rehearsal, player, complainUnasked),
    swinger: createSwinger(session, player, view, panel, complainUnasked),
    second,
    strength: createStrength(session, view, nearness, computed(() => panel.value === "strength"), complainUnasked),
    prover,
    faller: createFaller(session, second, prover, player, view, computed(() => panel.value === "strength")),
    noted: createNoted(session, view, rehearsal, player, () => void ([panel.value, controls.value] = ["notes", true]), complainUnasked),
    take,
    panel,
    controls,
  };
}

/** Open a panel, and bring it into sight. */
export function openPanel(bench: Bench, panel: string): void {
  bench.panel.value = panel;
  bench.controls.value = true;
}
