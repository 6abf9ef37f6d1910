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
    const near: StrikeView[] = []; // of each pair the first time: it must not hide a strike that comes later
    for (let begin = of.begin; begin < of.end; begin += PART) {
      const found = await session.engine.ask("strikes", { begin, end: Math.min(begin + PART, of.end) });
      // Another search or another motion has taken over.
      if (search.peek() !== last || rehearsal.show.peek() !== of) return;
      near.push(...found.filter(({ verdict, pair }) => verdict === "near" && !near.some((each) => String(each.pair) === String(pair))));
      const graver = found.filter(({ verdict }) => verdict !== "near");
      last = { of, until: begin + PART, found: graver.length > 0 ? [...graver, ...near] : [], done: graver.length > 0 };
      search.value = last;
      if (last.done) return;
    }
    search.value = { ...last, found: near, done: true };
  }

  return (
    <div class="stack">
      <p class="quiet">
        The real motion lags behind the commanded one: parts that are meant to pass each other may strike when one of them is late.
      </p>
      <div class="row">
        <Button words="Find the first strike" onClick={() => void refusal.attempt(look)} />
      </div>
      <div class="stack" role="status">
        <Findings findings={refusal.findings} />
        {now && !now.done && <p class="quiet">Checked up to {clock(now.until)}…</p>}
        {now?.done && now.found.length > 0 && now.found.every(({ verdict }) => verdict === "near") && (
          <p>Nothing strikes in this show, but the margin is not kept:</p>
        )}
        {now?.found.map((strike) => <Strike key={strike.pair.join("|")} strike={strike} player={player} />)}
        {now?.done && now.found.length === 0 && (
          <p>
            Nothing strikes in this show. Every pair that is checked stays apart at every instant of the computed motion: proved.
          </p>
        )}
      </div>
    </div>
  );
}

function Strike({ strike: { pair, verdict, at }, player }: { strike: StrikeView; player: Player }) {
  const level = verdict === "near" ? "warning" : "error";
  const words = { strikes: "touch or overlap", near: "closer than the margin, closest", open: "too close to tell" }[verdict];
  return (
    <div class="row">
      <Finding finding={{ level, text: `${pair.join(" - ")}: ${words} at ${clock(at)}`, alone: words }} />
      <Button words={`Go to ${clock(at)}`} onClick={() => player.seek(at)} />
    </div>
  );
}
