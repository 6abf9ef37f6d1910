/** The looks and shows to choose from, each with what was said of it. */

import { Icon } from "../ui/icon";
import type { Desk } from "./desk";
import type { Kept, Kind, Note } from "./note";
import { isEarlier, lastWord } from "./word";

export function LookList({ desk }: { desk: Desk }) {
  const { said, player } = desk;
  return (
    <>
      {said.looks.length > 0 && (
        <section>
          <h2>Looks</h2>
          <ul class="chips">
            {said.looks.map((look) => (
              <Chip key={look.told} desk={desk} told={look.told} on={player.look.value === look} word={lastWord(desk, "look", look.name)} pick={() => player.pick(look)} />
            ))}
          </ul>
        </section>
      )}
      {said.shows.length > 0 && (
        <section>
          <h2>Shows</h2>
          <ul class="chips">
            {said.shows.map((show) => (
              <Chip key={show.name} desk={desk} told={show.told} on={player.show.value === show} word={lastWord(desk, "show", show.name)} pick={() => player.open(show)} play />
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

interface ChipProps {
  readonly desk: Desk;
  readonly told: string;
  readonly on: boolean;
  readonly word: Kept | Note | null;
  readonly pick: () => void;
  readonly play?: boolean;
}

const WORDS: Readonly<Record<Kind, string>> = { approved: "approved", change: "change requested", note: "has notes" };

function Chip({ desk, told, on, word, pick, play }: ChipProps) {
  const earlier = word !== null && isEarlier(desk, word);
  const kind = word && (earlier ? "note" : word.kind);
  return (
    <li>
      <button type="button" class="button chip" aria-pressed={on} onClick={pick}>
        {play && <Icon name="play" />}
        <bdi class="chip__name">{told}</bdi>
        {kind && (
          <span class={`chip__word chip__word--${kind}`}>
            <Icon name={earlier ? "undo" : kind === "approved" ? "check" : kind === "change" ? "pen" : "note"} />
            <span class="unseen">{earlier ? "approved in an earlier file" : WORDS[kind]}</span>
          </span>
        )}
      </button>
    </li>
  );
}
