/** Clearance: what stands too near now, and what could ever strike. */

import { useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import type { Bench } from "../../bench";
import { Caution } from "../../ui/caution";
import { Fold } from "../../ui/fold";
import { type Pair, StrikeMap } from "./map";
import { NearList } from "./near";
import { Survey } from "./survey";
import "./clearance.css";

export function Clearance({ bench: { session, nearness, surveyor } }: { bench: Bench }) {
  const mapped = useSignal<Pair | null>(null);
  const opened = useSignal(true);
  const map = useRef<HTMLDivElement>(null);

  function show(pair: Pair): void {
    mapped.value = pair;
    opened.value = true;
    map.current?.scrollIntoView({ block: "start" });
  }

  return (
    <div class="stack">
      <h2>Clearance</h2>
      <NearList session={session} nearness={nearness} />
      <Fold title="Everything the end points allow" open>
        <Survey session={session} surveyor={surveyor} map={show} />
      </Fold>
      <div ref={map}>
        <Fold title="Map of a pair" at={opened}>
          <StrikeMap session={session} surveyor={surveyor} pair={mapped} />
        </Fold>
      </div>
      <Caution />
    </div>
  );
}
