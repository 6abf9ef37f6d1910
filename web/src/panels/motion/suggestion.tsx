/** The gentlest limits that still arrive in time. */

import { useSignal } from "@preact/signals";
import type { ShowView, SuggestedView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Field } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { ACCELERATION, limitText, short, SPEED } from "../../ui/numbers";
import { Numeral } from "../../ui/numeral";
import { useRefusal } from "../../ui/refusal";
import { Table } from "../../ui/table";
import { needed } from "../../ui/typed-number";
import type { Session } from "../../work/session";
import type { Rehearsal } from "./rehearsal";

export function Suggestion({ session, rehearsal }: { session: Session; rehearsal: Rehearsal }) {
  const lag = useSignal("0.5");
  const found = useSignal<SuggestedView | null>(null);
  const taken = useSignal(false);
  const refusal = useRefusal();

  async function find(event: Event): Promise<void> {
    event.preventDefault();
    [found.value, taken.value] = [null, false];
    await refusal.attempt(async () => {
      found.value = await session.engine.ask("suggest", { lag_s: needed(lag.value, "Late by at most") });
    });
  }

  async function take(suggested: SuggestedView): Promise<void> {
    await refusal.attempt(async () => {
      const limits = Object.fromEntries(
        Object.entries(suggested.limits).map(([drive, { speed, acceleration }]) => [drive, [speed, acceleration] as const]),
      );
      await session.change("Take suggested limits", "limit", { limits });
      [found.value, taken.value] = [null, true];
    });
  }

  const suggested = found.value;
  return (
    <form class="stack" onSubmit={(event) => void find(event)}>
      <p class="quiet">Lower limits are kinder to gears and quieter. posekit finds the lowest with which every stop is still reached in time.</p>
      <div class="row row--end">
        <Field label="Late by at most, s">
          {(named) => (
            <Numeral {...named} least={0.05} step={0.05} value={lag.value} typing={(text) => (lag.value = text)} commit={(text) => (lag.value = text)} />
          )}
        </Field>
        <Button type="submit" words="Find the gentlest limits" />
      </div>
      <div class="stack" role="status">
        <Findings findings={[...refusal.findings, ...(suggested?.findings ?? [])]} />
        {suggested && rehearsal.show.value && <Limits now={rehearsal.show.value} suggested={suggested} />}
        {suggested && (
          <div class="row">
            <Button words="Use these limits" onClick={() => void take(suggested)} />
          </div>
        )}
        {taken.value && <p class="quiet">Limits set. Undo restores the old ones.</p>}
      </div>
    </form>
  );
}

function Limits({ now, suggested }: { now: ShowView; suggested: SuggestedView }) {
  const heads = ["drive", `${SPEED} now`, "suggested", `${ACCELERATION} now`, "suggested", "late s then"];
  const rows = Object.entries(suggested.limits).map(([drive, limit]) => [
    drive,
    limitText(now.limits[drive]?.speed ?? null, ""),
    limitText(limit.speed, ""),
    limitText(now.limits[drive]?.acceleration ?? null, ""),
    limitText(limit.acceleration, ""),
    short(suggested.lag_s[drive] ?? 0),
  ]);
  return <Table caption="Gentlest limits" heads={heads} rows={rows} />;
}
