/** The first strike over the whole show: Python goes through the real motion part by part, and none between is missed. */

import { useSignal } from "@preact/signals";
import type { ShowView, StrikeView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Finding, Findings } from "../../ui/finding";
import { clock } from "../../ui/numbers";
import { useRefusal } from "../../ui/refusal";
import type { Session } from "../../work/session";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";

const PART = 5; // s of the show looked at in one go, so that play and hands come between

interface Search {
  /** The motion that is looked through; another ends the search and what it told. */
  readonly of: ShowView;
  readonly until: number;
  readonly found: readonly StrikeView[];
  readonly done: boolean;
}

export function StrikeSearch({ session, rehearsal, player }: { session: Session; rehearsal: Rehearsal; player: Player }) {
  const search = useSignal<Search | null>(null);
  const refusal = useRefusal();
  const show = rehearsal.show.value;
  const now = search.value?.of === show ? search.value : null;

  async function look(): Promise<void> {
    const of = rehearsal.show.peek();
    if (!of) return;
    let last: Search = { of, until: of.begin, found: [], done: false };
    search.value = last;
    for (let begin = of.begin; begin < of.end; begin += PART) {
      const found = await session.engine.ask("strikes", { begin, end: Math.min(begin + PART, of.end) });
      // Another search or another motion has taken over.
      if (search.peek() !== last || rehearsal.show.peek() !== of) return;
      last = { of, until: begin + PART, found, done: found.length > 0 };
      search.value = last;
      if (last.done) return;
    }
    search.value = { ...last, done: true };
  }

  return (
    <div class="stack">
      <p class="quiet">
        The real motion, with its lags, takes other ways than the commanded one: parts that pass each other by may strike when one is late.
      </p>
      <div class="row">
        <Button words="Look for the first strike" onClick={() => void refusal.attempt(look)} />
      </div>
      <div class="stack" role="status">
        <Findings findings={refusal.findings} />
        {now && !now.done && <p class="quiet">Looked at as far as {clock(now.until)}…</p>}
        {now?.found.map((strike) => <Strike key={strike.pair.join("|")} strike={strike} player={player} />)}
        {now?.done && now.found.length === 0 && (
          <p>
            Nothing strikes in this show: every watched pair of parts stays apart, proved for every instant of the motion as it is computed.
          </p>
        )}
      </div>
    </div>
  );
}

function Strike({ strike: { pair, verdict, at }, player }: { strike: StrikeView; player: Player }) {
  const level = verdict === "strikes" ? "error" : "warning";
  const words = verdict === "strikes" ? "touch or overlap" : "come too near to tell";
  return (
    <div class="row">
      <Finding finding={{ level, text: `${pair.join(" - ")}: ${words} at ${clock(at)}`, alone: words }} />
      <Button words={`Go to ${clock(at)}`} onClick={() => player.seek(at)} />
    </div>
  );
}
