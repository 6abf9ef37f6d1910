/** A question with two answers, of which the careful one has the focus and is what Escape means. */

import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Button } from "../ui/button";
import { useId } from "../ui/id";

export interface Question {
  readonly title: string;
  readonly words: string;
  /** What is done on yes, as its button says it. */
  readonly yes: string;
  readonly no: string;
}

interface Asked extends Question {
  readonly answer: (yes: boolean) => void;
}

const asked = signal<readonly Asked[]>([]);

/** Resolves with true for yes. Questions that come together are asked one after the other. */
export function ask(question: Question): Promise<boolean> {
  return new Promise((resolve) => {
    const one: Asked = {
      ...question,
      answer(yes) {
        asked.value = asked.value.filter((other) => other !== one);
        resolve(yes);
      },
    };
    asked.value = [...asked.value, one];
  });
}

/** Whether to replace what has this name. */
export function mayReplace(what: string): (name: string) => Promise<boolean> {
  return (name) =>
    ask({
      title: `Replace ${name}?`,
      words: `There is a ${what} named ${name} already. Undo brings the old one back.`,
      yes: `Replace ${name}`,
      no: "Keep the old one",
    });
}

export function Questions() {
  const first = asked.value[0];
  return first ? <Box key={first.title} question={first} /> : null;
}

function Box({ question: { title, words, yes, no, answer } }: { question: Asked }) {
  const id = useId();
  const box = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    const before = document.activeElement;
    box.current?.showModal();
    return () => before instanceof HTMLElement && before.focus();
  }, []);
  return (
    <dialog ref={box} class="dialog" role="alertdialog" aria-labelledby={id} aria-describedby={`${id}-words`} onClose={() => answer(false)}>
      <div class="stack">
        <h2 id={id}>{title}</h2>
        <p id={`${id}-words`}>{words}</p>
        <div class="row">
          <Button words={no} kind="main" onClick={() => answer(false)} />
          <Button words={yes} onClick={() => answer(true)} />
        </div>
      </div>
    </dialog>
  );
}
