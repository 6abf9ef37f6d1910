/** An axis found on the parts: click there in the picture, or name the part and type the point. */

import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { askAll } from "../../ui/typed-number";
import { FoundAxisNote } from "./found";
import type { How, Jointer, Spot } from "./jointer";
import { Triple } from "./triple";

const WAYS: readonly (readonly [How, words: string, hint: string])[] = [
  ["round", "a hole or a shaft", "Click or tap in the hole or on the shaft."],
  ["holes", "two holes, as of a pin", "Click or tap in one hole, then in the other."],
  ["points", "two points", "Click or tap two points; the axis goes from the first to the second."],
  ["edge", "an edge", "Click or tap near a straight edge, as of a piano hinge."],
  ["face", "a flat face", "Click or tap on it; the axis stands upright on it there."],
];

export function Find({ jointer, links }: { jointer: Jointer; links: readonly string[] }) {
  const { how, wanted, spots, found } = jointer;
  const hint = WAYS.find(([way]) => way === how.value)?.[2] ?? "";

  function put(index: number, change: Partial<Spot>): void {
    const at = (number: number): Spot => spots.value[number] ?? { part: links[0] ?? "", point: [0, 0, 0] };
    spots.value = Array.from({ length: wanted.value }, (_, number) => (number === index ? { ...at(number), ...change } : at(number)));
    found.value = null;
  }

  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        const form = event.currentTarget;
        void jointer.asked(async () => {
          askAll(form);
          if (spots.value.length < wanted.value) put(-1, {});
          await jointer.find();
        });
      }}
    >
      <Field label="By">
        {(named) => (
          <Select
            {...named}
            options={WAYS.map(([way, words]) => [way, words] as const)}
            value={how.value}
            pick={(way) => {
              how.value = way as How;
              [spots.value, found.value, jointer.refused.value] = [[], null, []];
            }}
          />
        )}
      </Field>
      <FoundAxisNote jointer={jointer} />
      <p class="quiet">{hint} Or type the point in mm (x front, y left, z up) and find it.</p>
      {Array.from({ length: wanted.value }, (_, index) => {
        const spot = spots.value[index];
        const name = wanted.value === 1 ? "point" : index === 0 ? "first point" : "second point";
        return (
          <div key={index} class="joints__spot">
            <Select aria-label={`part of the ${name}`} options={links.map((link) => [link, link] as const)} value={spot?.part ?? links[0] ?? ""} pick={(part) => put(index, { part })} />
            <Triple name={name} unit="mm" value={spot?.point ?? [0, 0, 0]} commit={(point) => put(index, { point })} />
          </div>
        );
      })}
      <div class="row">
        <Button type="submit" words="Find the axis" />
      </div>
    </form>
  );
}
