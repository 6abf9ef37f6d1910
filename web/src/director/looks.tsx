/** The looks and shows to choose from, each with what was said of it. */

import { Icon } from "../ui/icon";
import type { Desk } from "./desk";
import type { Kind } from "./note";

export function LookList({ desk }: { desk: Desk }) {
  const { said, player } = desk;
  return (
    <>
      {said.looks.length > 0 && (
        <section>
          <h2>Looks</h2>
          <ul class="chips">
            {said.looks.map((look) => (
              <Chip key={look.told} told={look.told} on={player.look.value === look} word={word(desk, "look", look.name)} pick={() => player.pick(look)} />
            ))}
          </ul>
        </section>
      )}
      {said.shows.length > 0 && (
        <section>
          <h2>Shows</h2>
          <ul class="chips">
            {said.shows.map((show) => (
              <Chip key={show.name} told={show.told} on={player.show.value === show} word={word(desk, "show", show.name)} pick={() => player.open(show)} play />
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

interface ChipProps {
  readonly told: string;
  readonly on: boolean;
  readonly word: Kind | null;
  readonly pick: () => void;
  readonly play?: boolean;
}

const WORDS: Readonly<Record<Kind, string>> = { approved: "approved", change: "change asked for", note: "has notes" };

function Chip({ told, on, word, pick, play }: ChipProps) {
  return (
    <li>
      <button type="button" class="button chip" aria-pressed={on} onClick={pick}>
        {play && <Icon name="play" />}
        <bdi class="chip__name">{told}</bdi>
        {word && (
          <span class={`chip__word chip__word--${word}`}>
            <Icon name={word === "approved" ? "check" : word === "change" ? "pen" : "note"} />
            <span class="unseen">{WORDS[word]}</span>
          </span>
        )}
      </button>
    </li>
  );
}

/** The last word on a look or a show, own notes after those that came along; what is done is said no more. */
function word({ said, notes }: Desk, kind: "look" | "show", name: string | null): Kind | null {
  if (name === null) return null;
  const all = [...said.notes.filter(({ done }) => !done), ...notes.value].filter((note) => note[kind] === name);
  return (all.findLast((note) => note.kind !== "note") ?? all.at(-1))?.kind ?? null;
}
