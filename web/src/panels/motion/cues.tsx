/** Cues of the open show: recorded from the pose on the bench, named, timed, ordered. Undo holds for each change. */

import type { CueView, Methods } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { clock } from "../../ui/numbers";
import { Numeral } from "../../ui/numeral";
import { useRefusal } from "../../ui/refusal";
import { takenAlways } from "../../ui/typed-number";
import type { Session } from "../../work/session";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";
import { SHOWS } from "./shows";

type CueChange = "add_cue" | "change_cue" | "move_cue" | "drop_cue";
type Change = <M extends CueChange>(label: string, method: M, params: Omit<Methods[M]["params"], "file">) => void;

export function Cues({ session, rehearsal, player }: { session: Session; rehearsal: Rehearsal; player: Player }) {
  const refusal = useRefusal();
  const show = rehearsal.show.value;
  if (!show || !show.file.startsWith(SHOWS) || !show.file.endsWith(".toml")) {
    return <p class="quiet">A recording has no cues.</p>;
  }
  const { file, cues } = show;
  const count = cues.length;

  const change: Change = (label, method, params) => {
    void refusal.attempt(() => session.change(label, method, { ...params, file } as Methods[typeof method]["params"], file));
  };
  const remove = (): void => void refusal.attempt(() => session.change("Remove show", "drop_file", { path: file }, file));
  const record = (): void =>
    change(`Record cue ${count + 1}`, "add_cue", { at: count, name: `${count + 1}`, values: session.values() });

  return (
    <div class="stack">
      <ol class="cues">
        {cues.map((cue, index) => (
          <Cue key={index} session={session} player={player} cue={cue} index={index} count={count} change={change} />
        ))}
      </ol>
      <div class="row row--between">
        <Button icon="add" words="Record this pose as a cue" kind="main" onClick={record} />
        <Button icon="drop" words="Remove this show" kind="plain" onClick={remove} />
      </div>
      <div class="stack" role="status">
        <Findings findings={refusal.findings} />
      </div>
    </div>
  );
}

interface CueProps {
  readonly session: Session;
  readonly player: Player;
  readonly cue: CueView;
  readonly index: number;
  readonly count: number;
  readonly change: Change;
}

function Cue({ session: { values }, player, cue, index, count, change }: CueProps) {
  const id = (part: string): string => `cue-${index}-${part}`;
  const set = (changes: Record<string, string | number>): void =>
    change(`Change cue ${cue.name}`, "change_cue", { cue: index, changes });
  const move = (to: number): void => change(`Move cue ${cue.name}`, "move_cue", { cue: index, to });
  const pose = (): void =>
    change(`Use pose for cue ${cue.name}`, "change_cue", { cue: index, changes: { values: values() } });
  const remove = (): void => change(`Remove cue ${cue.name}`, "drop_cue", { cue: index });

  return (
    <li class="cue">
      <div class="cue__head">
        <Button
          words={clock(cue.begin)}
          kind="plain"
          class="number"
          id={id("go")}
          aria-label={`${clock(cue.begin)}: go to cue ${cue.name}`}
          onClick={() => player.seek(cue.begin)}
        />
        <Typed id={id("name")} aria-label={`Name of cue ${index + 1}`} value={cue.name} commit={(name) => set({ name })} />
      </div>
      <div class="cue__body">
        {(["fade", "hold"] as const).map((part) => (
          <label key={part} class="cue__time" for={id(part)}>
            <span class="quiet">{part} s</span>
            <Numeral
              least={0}
              step={0.1}
              id={id(part)}
              always
              value={String(cue[part])}
              commit={takenAlways((number) => set({ [part]: number }))}
            />
          </label>
        ))}
        <div class="cue__doing">
          <Button icon="hand" name={`Use this pose for cue ${cue.name}`} short="pose" kind="plain" id={id("take")} onClick={pose} />
          <Button icon="up" name={`Move cue ${cue.name} up`} short="up" kind="plain" id={id("up")} disabled={index === 0} onClick={() => move(index - 1)} />
          <Button icon="down" name={`Move cue ${cue.name} down`} short="down" kind="plain" id={id("down")} disabled={index === count - 1} onClick={() => move(index + 1)} />
          <Button icon="drop" name={`Remove cue ${cue.name}`} short="remove" kind="plain" id={id("drop")} onClick={remove} />
        </div>
      </div>
      {cue.look && <span class="quiet">{cue.look}</span>}
    </li>
  );
}
