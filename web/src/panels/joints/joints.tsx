/** Joints: put where they belong, turned by hand to see that it is right, and stopped there. */

import type { Bench } from "../../bench";
import type { PlacedJoint } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { positionText } from "../../ui/units";
import { Find } from "./find";
import type { Jointer, Tool } from "./jointer";
import { Move } from "./move";
import { Turn } from "./turn";
import "./joints.css";

const TOOLS: readonly (readonly [Tool, string])[] = [
  ["find", "Find its axis"],
  ["move", "Move its axis"],
  ["turn", "Turn by hand"],
];
const KINDS: readonly (readonly [PlacedJoint["type"], string])[] = [
  ["revolute", "turns (revolute)"],
  ["prismatic", "slides (prismatic)"],
  ["fixed", "is fixed"],
];
const SAID = { revolute: "turns", prismatic: "slides", fixed: "fixed" } as const;

export function Joints({ bench: { session, jointer } }: { bench: Bench }) {
  const { list, joint, tool, refused } = jointer;
  const all = list.value?.joints ?? [];
  const now = joint.value;
  const links = session.prop.value?.links ?? [];
  return (
    <div class="stack">
      <h2>Joints</h2>
      <p class="quiet">While this panel is open the figure stands with every joint at 0; the channels keep their values.</p>
      {now ? (
        <>
          <Field label="Part and its joint">
            {(named) => (
              <Select
                {...named}
                options={all.map(({ name, child, parent, type }) => [name, `${child} on ${parent}: ${SAID[type]}${name === child ? "" : ` (${name})`}`] as const)}
                value={now.name}
                pick={jointer.choose}
              />
            )}
          </Field>
          <Facts jointer={jointer} joint={now} />
          <div class="choice joints__tools" role="group" aria-label="Tool">
            {TOOLS.map(([which, words]) => (
              <Button key={which} words={words} aria-pressed={tool.value === which} onClick={() => (tool.value = which)} />
            ))}
          </div>
          {tool.value === "find" && <Find jointer={jointer} links={links} />}
          {tool.value === "move" && <Move key={now.name} jointer={jointer} joint={now} />}
          {tool.value === "turn" && <Turn jointer={jointer} joint={now} />}
          <div role="status">
            <Findings findings={refused.value} />
          </div>
        </>
      ) : (
        <p class="quiet">{list.value ? "This figure has one part. Add another, and it comes with a joint." : "Looking for the joints…"}</p>
      )}
    </div>
  );
}

/** What the joint is and where it stands. */
function Facts({ jointer, joint }: { jointer: Jointer; joint: PlacedJoint }) {
  const { axis } = joint;
  return (
    <div class="joints__facts">
      <Field label={`What ${apart(joint.name)} does`}>
        {(named) => <Select {...named} options={KINDS} value={joint.type} pick={(type) => void jointer.become(type as PlacedJoint["type"])} />}
      </Field>
      <p class="quiet">
        It {joint.moved_by}. <span class="number">{axis.text}</span>
        {joint.stops ? `; stops at ${joint.stops.map((stop) => positionText(stop, joint.unit)).join(" and ")}` : joint.type === "fixed" ? "" : "; no stops yet"}.
      </p>
    </div>
  );
}
