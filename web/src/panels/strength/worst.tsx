/** The most that each servo has to hold over all values, proved, with the pose in which it does; and over the open show. */

import type { Bench } from "../../bench";
import type { ProofView, StrengthView, WorstView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Findings, worstFirst } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { clock, short } from "../../ui/numbers";
import { useRefusal } from "../../ui/refusal";
import { Table } from "../../ui/table";
import type { Session } from "../../work/session";
import type { Player } from "../motion/player";
import { Bar, Scale } from "./bars";
import { percent, torqueSize } from "./words";

interface WorstProps {
  readonly bench: Bench;
  readonly whole: StrengthView;
}

export function Worst({ bench: { session, prover, rehearsal, player }, whole }: WorstProps) {
  const refusal = useRefusal();
  const [proof, running, show] = [prover.proof.value, prover.running.value, rehearsal.show.value];
  const words = show ? "Prove the worst, and look through the show" : "Prove the worst";
  return (
    <div class="stack">
      <p class="quiet">
        Looks at every combination of channel values, not at samples: no pose asks for more than what is proved here.
        {show ? "" : " With a show open (Motion), it looks through that, too."}
      </p>
      <div class="row">
        {running ? (
          <Button words="Stop and keep what is proved" onClick={prover.stop} />
        ) : (
          <Button words={words} kind="main" onClick={() => void refusal.attempt(prover.run)} />
        )}
      </div>
      {running && <progress class="progress progress--wide" max={1} aria-label="How far the proof is" value={proof?.share ?? 0} />}
      <p class="quiet number" role="status">{running && !proof ? "Python starts a second time…" : proof && progressText(proof)}</p>
      <Findings findings={refusal.findings} />
      {prover.outdated.value && <p class="caution">The prop has changed since. Prove it again.</p>}
      {show && proof?.phase === "done" && !prover.ofShow.value && <p class="caution">The show that is open has not been looked through. Prove again: what is proved already takes no time.</p>}
      {proof && <Results session={session} proof={proof} whole={whole} />}
      {proof?.phase === "done" && proof.show && <Moving proof={proof} whole={whole} player={player} here={prover.ofShow.value} />}
      {proof && <Told proof={proof} />}
    </div>
  );
}

function progressText({ phase, drives, of, stopped, share, show }: ProofView): string {
  const servos = `${drives.length} of ${of} servos`;
  if (phase === "proving") return stopped ? `Stopping: ${servos}…` : `Proving: ${servos}…`;
  if (phase === "moving") return `${servos} proved, ${Math.round(share * 100)} % of the show looked through…`;
  if (phase === "helping") return `${servos} proved; looking for what would help…`;
  const through = show ? ", and the show looked through" : "";
  const cut = drives.some((each) => each.cut) ? "; some not as near as they could be: each says so" : "";
  return `${stopped ? "Stopped" : "Done"}: ${servos} proved${through}${cut}.`;
}

function Results({ session, proof, whole }: { session: Session; proof: ProofView; whole: StrengthView }) {
  if (proof.drives.length === 0) return null;
  return (
    <section class="stack stack--tight">
      <h3>The most each servo holds</h3>
      <Scale whole={whole} />
      <ul class="strains">
        {proof.drives.map((each) => (
          <Bar key={each.drive} drive={each.drive} load={each.most} stall={each.stall_nm} whole={whole} worst={each.drive === proof.worst}>
            <span class="row strain__more">
              <span class="quiet">{aboutWorst(each, proof)}</span>
              <Button words="Show this pose" aria-label={`Show this pose, in which ${each.drive} holds most`} onClick={() => showPose(session, each)} />
            </span>
          </Bar>
        ))}
      </ul>
    </section>
  );
}

function showPose(session: Session, { drive, values }: WorstView): void {
  session.history.settle();
  session.setValues(`Show where ${drive} holds most`, values);
}

const SLEEP = { true: "may sleep", false: "may not sleep: it would sink", null: "sleep: not known, the servo has no friction in the file" } as const;

function aboutWorst({ most, found_nm, alone_nm, others_tell, near, cut, may_sleep }: WorstView, { phase }: ProofView): string {
  const told: string[] = [];
  if (!near) {
    const bound = most.torque_nm === null ? "no bound" : `${torqueSize(most.torque_nm)} N·m at most`;
    const seen = found_nm === null ? "a dead point" : `${short(found_nm)} N·m`;
    told.push(`proved ${bound}, found ${seen}: the worst lies between${cut ? "; more time would bring them nearer" : ""}`);
  }
  if (alone_nm !== null && others_tell) told.push(`${short(alone_nm)} N·m with all others at rest`);
  if (phase === "done") told.push(SLEEP[`${may_sleep}`]);
  return told.join("; ");
}

interface MovingProps {
  readonly proof: ProofView;
  readonly whole: StrengthView;
  readonly player: Player;
  /** Whether it is the show that is open. */
  readonly here: boolean;
}

function Moving({ proof, whole, player, here }: MovingProps) {
  return (
    <section class="stack stack--tight">
      <h3>Over the show</h3>
      <p class="quiet">What each servo gives at most while it moves, and the root mean square (RMS), which heats it.</p>
      <Scale whole={whole} />
      <ul class="strains">
        {proof.drives.map(({ drive, stall_nm, moving }) => moving && (
          <Bar key={drive} drive={drive} load={moving.peak} stall={stall_nm} whole={whole} worst={drive === proof.hardest}>
            <span class="row strain__more">
              <span class="quiet number">RMS {moving.rms.torque_nm === null ? "not known" : `${short(moving.rms.torque_nm)} N·m`} {percent(moving.rms)}</span>
              <Button
                words={`Go to ${clock(moving.peak_at_s)}`}
                aria-label={`Go to ${clock(moving.peak_at_s)}, where ${drive} gives most`}
                disabled={!here}
                onClick={() => player.seek(moving.peak_at_s)}
              />
            </span>
          </Bar>
        ))}
      </ul>
    </section>
  );
}

/** All else that the report tells; what goes with every figure stands before the supply. */
function Told({ proof }: { proof: ProofView }) {
  const findings = worstFirst(proof.findings.filter(({ code }) => code !== "local-codes"));
  return (
    <>
      {proof.drives.length > 0 && (
        <Fold title="As a table">
          <ProofTable proof={proof} />
        </Fold>
      )}
      {findings.length > 0 && (
        <Fold title={`What there is to tell (${findings.length})`} open>
          <Findings findings={findings} />
        </Fold>
      )}
    </>
  );
}

function ProofTable({ proof }: { proof: ProofView }) {
  const heads = ["drive", "proved N·m", "found N·m", "share", "others at rest", "may sleep", ...(proof.show ? ["peak N·m", "at", "RMS N·m"] : [])];
  const number = (found: number | null | undefined): string => (found === null || found === undefined ? "–" : short(found));
  const bound = (most: number | null | undefined): string => (most === null || most === undefined ? "–" : torqueSize(most));
  const rows = proof.drives.map(({ drive, most, found_nm, alone_nm, may_sleep, moving }) => [
    drive,
    bound(most.torque_nm),
    number(found_nm),
    percent(most) || "–",
    number(alone_nm),
    proof.phase !== "done" || may_sleep === null ? "–" : may_sleep ? "yes" : "no",
    ...(proof.show ? [bound(moving?.peak.torque_nm), moving ? clock(moving.peak_at_s) : "–", number(moving?.rms.torque_nm)] : []),
  ]);
  return <Table caption="The most each servo holds" heads={heads} rows={rows} />;
}
