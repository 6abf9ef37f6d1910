/** Bench: what is done while the figure lies open on it: poses to fit horns by, one drive that swings, measuring. */

import type { Bench } from "../../bench";
import { Caution } from "../../ui/caution";
import { Fold } from "../../ui/fold";
import { Measure } from "./measure";
import { Poses } from "./poses";
import { SwingForm } from "./swing-form";
import "./bench.css";

export function BenchPanel({ bench: { session, swinger } }: { bench: Bench }) {
  return (
    <div class="stack">
      <h2>Bench</h2>
      <Caution />
      <fieldset class="stack">
        <legend>All drives at once</legend>
        <Poses session={session} />
      </fieldset>
      <fieldset class="stack">
        <legend>One drive</legend>
        <SwingForm session={session} swinger={swinger} />
      </fieldset>
      <Fold title="Measure a servo" open>
        <Measure session={session} />
      </Fold>
    </div>
  );
}
