/** The first strike over the whole show: Python goes through the real motion part by part, and none between is missed. */

import { useSignal } from "@preact/signals";
import type { ShowView, StrikeView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Finding, Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { LeftOut } from "../../ui/left-out";
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
    let begin = of.begin;
    do { // a show of one frame is an instant, and looked at as well
      const found = await session.engine.ask("strikes", { begin, end: Math.min(begin + PART, of.end) });
      // Another search or another motion has taken over.
      if (search.peek() !== last || rehearsal.show.peek() !== of) return;
      near.push(...found.filter(({ verdict, pair }) => verdict === "near" && !near.some((each) => String(each.pair) === String(pair))));
      const graver = found.filter(({ verdict }) => verdict !== "near");
      last = { of, until: begin + PART, found: graver.length > 0 ? [...graver, ...near] : [], done: graver.length > 0 };
      search.value = last;
      if (last.done) return;
      begin += PART;
    } while (begin < of.end);
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
          <p>Nothing strikes in this show, but some parts come closer than the margin:</p>
        )}
        {now?.found.map((strike) => <Strike key={strike.pair.join("|")} strike={strike} player={player} />)}
        {now?.done && now.found.length === 0 && <p>{now.of.no_strikes} This is proved for every instant of the computed motion.</p>}
      </div>
      {show && show.left_out.length > 0 && (
        <Fold title="Left out: not checked, or only in part">
          <LeftOut rows={show.left_out} />
        </Fold>
      )}
    </div>
  );
}

function Strike({ strike: { finding, at }, player }: { strike: StrikeView; player: Player }) {
  return (
    <div class="row">
      <Finding finding={finding} />
      <Button words={`Go to ${clock(at)}`} onClick={() => player.seek(at)} />
    </div>
  );
}
