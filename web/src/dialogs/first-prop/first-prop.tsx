/** "Your first prop": from the meshes of a figure to one that moves, is checked and shared. Its pictures are made by a test. */

import { STEPS } from "./steps";

const PICTURES = import.meta.glob<string>("./*.webp", { eager: true, query: "?url", import: "default" });

export function FirstProp() {
  return (
    <>
      <p>About 15 minutes. You need the parts of a figure as STL files, drawn where they belong. Undo takes back every step.</p>
      <ol class="first-prop">
        {STEPS.map(({ picture, title, words, seen }) => (
          <li key={picture} class="stack stack--close">
            <h4>{title}</h4>
            <p>{words}</p>
            <img src={PICTURES[`./${picture}.webp`]} alt={seen} width="640" height="400" loading="lazy" />
          </li>
        ))}
      </ol>
    </>
  );
}
