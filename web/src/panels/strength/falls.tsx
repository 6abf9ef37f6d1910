/** Where each part falls to when its servo lets go and what it strikes; power that goes; values that stop coming. */

import { useComputed } from "@preact/signals";
import type { FallView, LossView, LyingView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Findings, worstFirst } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { Icon } from "../../ui/icon";
import { LeftOut } from "../../ui/left-out";
import { useRefusal } from "../../ui/refusal";
import { Table } from "../../ui/table";
import type { Session } from "../../work/session";
import type { Faller } from "./faller";

export function Falls({ session, faller }: { session: Session; faller: Faller }) {
  const refusal = useRefusal();
  const [found, running] = [faller.found.value, faller.running.value];
  return (
    <div class="stack">
      <p class="quiet">
        From the pose that the channels give now: where each part falls to when its servo lets go while all others hold, what it strikes on
        the way or on a swing, and how the figure can lie when power goes or values stop coming. Once the worst is proved, servos that may not
        sleep are looked at where they hold most, too.
      </p>
      <div class="row">
        {running ? (
          <Button words="Stop looking" onClick={faller.stop} />
        ) : (
          <Button words="Look at what falls" kind="main" onClick={() => void refusal.attempt(faller.run)} />
        )}
      </div>
      {running && <progress class="progress progress--wide" max={1} aria-label="How much is looked at" value={found?.share ?? 0} />}
      <p class="quiet" role="status">{running && !found ? "Python starts a second time…" : found && progressText(found)}</p>
      <Findings findings={refusal.findings} />
      {faller.outdated.value && !running && <p class="caution">The prop or its pose has changed since. Look again.</p>}
      {found && <Each title="One servo lets go, all others hold" rows={found.drives} faller={faller} session={session} />}
      {found?.phase === "done" && <Whole session={session} faller={faller} found={found} />}
    </div>
  );
}

function progressText({ phase, drives, stopped }: LossView): string {
  const servos = `${drives.length} ${drives.length === 1 ? "servo" : "servos"}`;
  if (phase === "looking") return stopped ? `Stopping: ${servos} looked at…` : `Looking: ${servos} so far…`;
  return stopped ? "Stopped: what was not looked at says so." : `Done: ${servos} looked at.`;
}

interface EachProps {
  readonly title: string;
  readonly rows: readonly FallView[];
  readonly session: Session;
  readonly faller: Faller;
}

function Each({ title, rows, session, faller }: EachProps) {
  if (rows.length === 0) return null;
  return (
    <section class="stack stack--tight">
      <h3>{title}</h3>
      <ul class="falls" aria-label={title}>
        {rows.map((each) => <Fall key={each.drive} fall={each} session={session} faller={faller} />)}
      </ul>
    </section>
  );
}

function Fall({ fall, session, faller }: Pick<EachProps, "session" | "faller"> & { fall: FallView }) {
  const { drive, then, goes, rests, way, known, falls, strikes, rest, struck, values } = fall;
  return (
    <li class="fall" data-drive={drive}>
      <p class="row">
        <Icon name={!known ? "help" : strikes ? "error" : falls ? "warning" : "check"} />
        <strong><bdi>{drive}</bdi></strong> {then}
      </p>
      {falls && (
        <Told rows={[["goes", goes], ["comes to rest", rests], ["on the way", way]]} />
      )}
      <span class="row">
        <Draw faller={faller} at={struck} words="Show where it strikes" of={drive} />
        <Draw faller={faller} at={rest} words="Show where it rests" of={drive} />
        {values && (
          <Button
            words="Set the pose it falls from"
            name={`Set the pose it falls from: ${drive}`}
            onClick={() => {
              session.history.settle();
              session.setValues(`Show where ${drive} holds most`, values);
            }}
          />
        )}
      </span>
    </li>
  );
}

/** What, and what was found of it. */
function Told({ rows }: { rows: readonly (readonly [string, string])[] }) {
  return (
    <dl class="fall__told">
      {rows.map(([what, found]) => (
        <div key={what}>
          <dt>{what}</dt>
          <dd>{found}</dd>
        </div>
      ))}
    </dl>
  );
}

/** Puts a pose that was found into the picture, and out of it again. */
function Draw({ faller: { drawn, outdated }, at, words, of }: { faller: Faller; at: number | null; words: string; of: string }) {
  const on = useComputed(() => at !== null && drawn.value === at);
  if (at === null) return null;
  return (
    <Button
      words={words}
      name={`${words}: ${of}`}
      aria-pressed={on.value}
      off={outdated.value}
      onClick={() => (drawn.value = on.value ? null : at)}
    />
  );
}

function Whole({ session, faller, found }: Pick<EachProps, "session" | "faller"> & { found: LossView }) {
  const findings = worstFirst(found.findings);
  return (
    <>
      <Each title="Those that may not sleep, where they hold most" rows={found.worst} faller={faller} session={session} />
      <section class="stack stack--tight">
        <h3>Power goes: all let go at once</h3>
        {found.all_at_once && <Lying lies={found.all_at_once} faller={faller} of="without power" />}
      </section>
      <section class="stack stack--tight">
        <h3>Values stop coming</h3>
        <Table caption="What each drive does when values stop" heads={["drive", "then", "holds N·m"]} rows={found.signal} />
        {found.after ? (
          <Lying lies={found.after} faller={faller} of="after values have stopped" />
        ) : (
          <p class="quiet">What the figure comes to is not known until each drive, or the receiver, says what it does: see Receiver, below.</p>
        )}
      </section>
      {found.left_out.length > 0 ? (
        <Fold title={`${found.watched}: see why`}>
          <LeftOut rows={found.left_out} />
        </Fold>
      ) : (
        <p class="quiet">{found.watched}.</p>
      )}
      {findings.length > 0 && (
        <Fold title={`What there is to tell of falls (${findings.length})`} open>
          <Findings findings={findings} />
        </Fold>
      )}
    </>
  );
}

function Lying({ lies, faller, of }: { lies: LyingView; faller: Faller; of: string }) {
  return (
    <>
      <Told rows={lies.rows} />
      <div class="row">
        <Draw faller={faller} at={lies.rest} words="Show how it lies" of={of} />
      </div>
    </>
  );
}
