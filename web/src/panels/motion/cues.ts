/** Cues of the open show: recorded from the pose on the bench, named, timed, ordered. Undo holds for each change. */

import { button } from "../../ui/controls";
import { h } from "../../ui/dom";
import { clock } from "../../ui/numbers";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";
import type { CueView, PropView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { showing } from "../../ui/refusals";
import { SHOWS } from "./shows";

export function cueList(session: Session, rehearsal: Rehearsal, player: Player): HTMLElement {
  const list = h("ol", { class: "cues" });
  const told = h("div", { class: "stack", role: "status" });
  const record = button({ drawn: "add", words: "Record this pose as a cue", kind: "main" }, () => {
    const count = rehearsal.show.get()?.cues.length ?? 0;
    change(`Record cue ${count + 1}`, (file) =>
      session.engine.ask("add_cue", { file, at: count, name: `${count + 1}`, values: session.values() }),
    );
  });
  const remove = button({ drawn: "drop", words: "Remove this show", kind: "plain" }, () =>
    change("Remove show", (file) => session.engine.ask("drop_file", { path: file })),
  );
  const whole = h("div", { class: "stack" }, list, h("div", { class: "row row--between" }, record, remove), told);

  function change(label: string, ask: (file: string) => Promise<PropView>): void {
    const file = rehearsal.show.get()?.file;
    if (!file) return;
    void showing(told, async () => {
      session.history.settle();
      await session.take(label, await ask(file), file);
    });
  }

  rehearsal.show.watch((show) => {
    whole.hidden = !show || !show.file.startsWith(SHOWS) || !show.file.endsWith(".toml");
    const focused = document.activeElement?.id;
    list.replaceChildren(...(show?.cues ?? []).map((cue, index, all) => row(cue, index, all.length)));
    if (focused) document.getElementById(focused)?.focus();
  });

  function row(cue: CueView, index: number, count: number): HTMLElement {
    const id = (part: string): string => `cue-${index}-${part}`;
    const set = (changes: Record<string, string | number>): void =>
      change(`Change cue ${cue.name}`, (file) => session.engine.ask("change_cue", { file, cue: index, changes }));
    const time = (part: "fade" | "hold"): HTMLElement => {
      const input = h("input", { type: "number", min: 0, step: 0.1, class: "input input--number", id: id(part), value: cue[part] });
      input.addEventListener("change", () => Number.isFinite(input.valueAsNumber) && set({ [part]: input.valueAsNumber }));
      return h("label", { class: "cue__time", for: id(part) }, h("span", { class: "quiet" }, part === "fade" ? "fade s" : "hold s"), input);
    };
    const name = h("input", { type: "text", class: "input", id: id("name"), value: cue.name, "aria-label": `Name of cue ${index + 1}` });
    name.addEventListener("change", () => set({ name: name.value }));
    const move = (to: number): void => change(`Move cue ${cue.name}`, (file) => session.engine.ask("move_cue", { file, cue: index, to }));
    const doing = (part: string, drawn: "up" | "down" | "drop" | "hand", words: string, press: () => void, disabled = false): HTMLElement =>
      button({ drawn, name: `${words} cue ${cue.name}`, kind: "plain", id: id(part), disabled }, press);
    return h(
      "li",
      { class: "cue" },
      h(
        "div",
        { class: "cue__head" },
        button({ words: clock(cue.begin), kind: "plain", class: "button button--plain number", "aria-label": `${clock(cue.begin)}: go to cue ${cue.name}`, id: id("go") }, () => player.seek(cue.begin)),
        name,
      ),
      h(
        "div",
        { class: "cue__body" },
        time("fade"),
        time("hold"),
        h(
          "div",
          { class: "cue__doing" },
          doing("take", "hand", "Take this pose into", () =>
            change(`Take pose into cue ${cue.name}`, (file) => session.engine.ask("change_cue", { file, cue: index, changes: { values: session.values() } })),
          ),
          doing("up", "up", "Earlier:", () => move(index - 1), index === 0),
          doing("down", "down", "Later:", () => move(index + 1), index === count - 1),
          doing("drop", "drop", "Remove", () => change(`Remove cue ${cue.name}`, (file) => session.engine.ask("drop_cue", { file, cue: index }))),
        ),
      ),
      cue.look ? h("span", { class: "quiet" }, cue.look) : null,
    );
  }
  return whole;
}
