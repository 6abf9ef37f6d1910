/** The envelope: a verdict on every pair over all values, with witnesses to look at and end points that would help. */

import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import type { PairVerdict, Suggestion, SurveyView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { Icon, type IconName } from "../../ui/icon";
import { LeftOut } from "../../ui/left-out";
import { downward } from "../../ui/numbers";
import { useRefusal } from "../../ui/refusal";
import type { Session } from "../../work/session";
import type { Pair } from "./map";
import type { Surveyor } from "./surveyor";

const RESOLUTIONS = [["4", "4° or mm (quick)"], ["2", "2° or mm"], ["1", "1° or mm"], ["0.5", "0.5° or mm (thorough)"]] as const;
const PHASES: Record<SurveyView["phase"], string> = {
  judging: "Checking pairs",
  suggesting: "Looking for end points that help",
  done: "Done",
};
const END_WORDS = { low: "at 0", high: "at full" } as const;
const MOST_SUGGESTIONS = 12;

interface SurveyProps {
  readonly session: Session;
  readonly surveyor: Surveyor;
  readonly map: (pair: Pair) => void;
}

export function Survey({ session, surveyor, map }: SurveyProps) {
  const resolution = useSignal("2");
  const refusal = useRefusal();
  const running = surveyor.running.value;
  const view = surveyor.survey.value;
  return (
    <div class="stack">
      <p class="quiet">
        Checks every combination of channel values, and every move between them. Clear: proved to keep the margin. Near: proved never to
        touch, but they come closer than the margin. Strikes: there are values at which the parts touch. Open: neither is proved yet.
      </p>
      <Field label="Resolution">
        {(named) => <Select {...named} options={RESOLUTIONS} value={resolution.value} pick={(to) => (resolution.value = to)} />}
      </Field>
      <div class="row">
        {running ? (
          <Button words="Stop and keep the results" onClick={surveyor.stop} />
        ) : (
          <Button words="Check every pair" kind="main" onClick={() => void refusal.attempt(() => surveyor.run(Number(resolution.value)))} />
        )}
      </div>
      {running && (
        <progress
          class="progress progress--wide"
          max={1}
          aria-label="Pairs checked"
          value={view && view.pairs > 0 ? view.settled.length / view.pairs : 0}
        />
      )}
      <p class="quiet number" role="status">
        {view && `${howFar(view)}, ${view.cells} ${view.cells === 1 ? "box" : "boxes"} of positions, ${view.seconds.toFixed(1)} s`}
      </p>
      <Findings findings={refusal.findings} />
      {surveyor.outdated.value && <p class="caution">The prop has changed since. Check again.</p>}
      {view && <Results session={session} view={view} map={map} />}
    </div>
  );
}

function howFar({ phase, stopped, settled, pairs }: SurveyView): string {
  if (!stopped) return `${PHASES[phase]}: ${settled.length} of ${pairs} pairs`;
  return `Stopped: ${settled.filter(({ finished }) => finished).length} of ${pairs} pairs checked to the end`;
}

function Results({ session, view, map }: { session: Session; view: SurveyView; map: (pair: Pair) => void }) {
  const of = (verdict: PairVerdict["verdict"]): PairVerdict[] => view.settled.filter((each) => each.verdict === verdict);
  const rows = (pairs: readonly PairVerdict[]) => pairs.map((each) => <Verdict key={each.pair.join("|")} session={session} judged={each} map={map} />);
  const [strikes, open, near, clear] = [of("strikes"), of("open"), of("near"), of("clear")];
  return (
    <div class="stack">
      <Findings findings={view.findings} />
      {view.summary && <p class="number">{view.summary}.</p>}
      <Group icon="error" title={`${strikes.length} can strike`} rows={rows(strikes)} open />
      <Group icon="warning" title={`${open.length} open`} rows={rows(open)} open />
      <Group icon="near" title={`${near.length} near: closer than the margin of ${view.margin_mm} mm`} rows={rows(near)} open />
      {view.left_out.length > 0 && (
        <Fold title={<Head icon="aside" title="Left out: not checked, or only in part" />}>
          <LeftOut rows={view.left_out} />
        </Fold>
      )}
      <Group icon="note" title={`${clear.length} clear, proved`} rows={rows(clear)} />
      <Suggestions session={session} view={view} />
    </div>
  );
}

function Group({ icon, title, rows, open = false }: { icon: IconName; title: string; rows: readonly ComponentChildren[]; open?: boolean }) {
  if (rows.length === 0) return null;
  return (
    <Fold title={<Head icon={icon} title={title} />} open={open}>
      <ul class="verdicts">{rows}</ul>
    </Fold>
  );
}

function Head({ icon, title }: { icon: IconName; title: string }) {
  return (
    <span class="row">
      <Icon name={icon} />
      {title}
    </span>
  );
}

function verdictText({ verdict, clear_by_mm, open_fraction, finished }: PairVerdict): string {
  if (verdict === "strikes") return "can strike";
  if (verdict === "near") return `never touch: ${downward(clear_by_mm ?? 0, 2)} mm apart or more, proved`;
  if (verdict === "clear") return `${downward(clear_by_mm ?? 0, 1)} mm apart or more, proved`;
  return `${finished ? "too close to tell at this resolution" : "not checked to the end"}: ${(open_fraction * 100).toPrecision(2)} % of the range is left`;
}

function Verdict({ session, judged, map }: { session: Session; judged: PairVerdict; map: (pair: Pair) => void }) {
  const { pair, verdict, witness } = judged;
  const place = verdict === "near" ? "closest" : "striking";
  return (
    <li class="verdict">
      <span>
        <strong><bdi>{pair[0]}</bdi> – <bdi>{pair[1]}</bdi></strong> {verdictText(judged)}
      </span>
      <span class="row">
        {witness && (
          <Button
            words="Show"
            aria-label={`Show ${pair[0]} and ${pair[1]} ${place}`}
            onClick={() => {
              session.history.settle();
              session.setValues(`Show ${pair[0]} and ${pair[1]} ${place}`, witness);
            }}
          />
        )}
        {verdict !== "clear" && <Button words="Map" aria-label={`Map of ${pair[0]} and ${pair[1]}`} onClick={() => map(pair)} />}
      </span>
    </li>
  );
}

function Suggestions({ session, view }: { session: Session; view: SurveyView }) {
  const shown = view.suggestions.slice(0, MOST_SUGGESTIONS);
  const more = view.suggestions.length - shown.length;
  const rows = shown.map((each) => <SuggestionRow key={`${each.drive} ${each.end} ${each.pulse_us}`} session={session} suggestion={each} margin={view.margin_mm} />);
  return (
    <Group
      icon="hand"
      title="End points that help"
      rows={more > 0 ? [...rows, <li key="more" class="quiet">and {more} more, which clear fewer pairs or cost more</li>] : rows}
      open
    />
  );
}

function SuggestionRow({ session, suggestion: { drive, end, pulse_us, clears }, margin }: { session: Session; suggestion: Suggestion; margin: number }) {
  const refusal = useRefusal();
  const path = session.prop.value?.drives.find(({ name }) => name === drive)?.path;
  return (
    <li class="verdict">
      <span>
        <strong class="number"><bdi>{drive}</bdi> {END_WORDS[end]}: {pulse_us} µs</strong> clears {clears.map((each) => each.map(apart).join(" – ")).join(", ")} by {margin} mm
      </span>
      <Button
        words="Set"
        aria-label={`Set ${drive} ${END_WORDS[end]} to ${pulse_us} µs`}
        onClick={() => path && void refusal.attempt(() => session.edit(`${path}.pulse.${end}`, pulse_us))}
      />
      <Findings findings={refusal.findings} />
    </li>
  );
}
