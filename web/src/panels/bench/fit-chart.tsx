/** The fit as a drawing: angles over pulses with the line, and below how far each pair lies off it. */

import type { FitView, MeasuredRow } from "../../engine/protocol";
import { round, short } from "../../ui/numbers";

const [WIDTH, LEFT, RIGHT] = [340, 46, 8];
const [ABOVE, BELOW] = [170, 96];
const EDGE = 12; // px of room for marks

interface FitChartProps {
  readonly fit: FitView;
  readonly rows: readonly MeasuredRow[];
}

type Scale = (number: number) => number;

interface Pair {
  readonly state: MeasuredRow["state"];
  readonly us: number;
  readonly deg: number;
  readonly off: number;
}

export function FitChart({ fit, rows }: FitChartProps) {
  const pairs = rows.flatMap(({ state, pulse_us: us, shaft_deg: deg, off_deg: off }): Pair[] => (us === null || deg === null || off === null ? [] : [{ state, us, deg, off }]));
  if (pairs.length === 0) return null;
  const pulses = pairs.map(({ us }) => us);
  const angles = [...pairs.map(({ deg }) => deg), ...fit.line.map(([, deg]) => deg)];
  const [least, most] = [Math.min(...pulses), Math.max(...pulses)];
  const x = scale(least, most, LEFT + EDGE, WIDTH - RIGHT - EDGE);
  const y = scale(Math.min(...angles), Math.max(...angles), ABOVE - EDGE - 16, EDGE);
  // What is left out lies far off; drawn at the edge it leaves room for the others.
  const room = Math.max(fit.worst_deg, 0.5) * 1.25;
  const off = scale(-room, room, BELOW - EDGE, EDGE);
  const kept = (deg: number): number => Math.min(Math.max(deg, -room), room);
  const out = pairs.filter(({ state }) => state === "left_out").length;
  const words = `${pairs.length} pairs from ${round(least)} to ${round(most)} µs, ${out} left out; the others lie up to ${short(fit.worst_deg)}° off the line.`;
  return (
    <figure class="fit">
      <svg viewBox={`0 0 ${WIDTH} ${ABOVE}`} role="img" aria-label={`Angle over pulse: ${words}`}>
        <text class="fit__words" x={LEFT - 4} y={y(Math.max(...angles)) + 4} text-anchor="end">{short(Math.max(...angles))}°</text>
        <text class="fit__words" x={LEFT - 4} y={y(Math.min(...angles)) + 4} text-anchor="end">{short(Math.min(...angles))}°</text>
        <text class="fit__words" x={x(least)} y={ABOVE - 3} text-anchor="middle">{round(least)}</text>
        <text class="fit__words" x={x(most)} y={ABOVE - 3} text-anchor="end">{round(most)} µs</text>
        <polyline class="fit__now" points={path(fit.now, x, y)} />
        <polyline class="fit__line" points={path(fit.line, x, y)} />
        <polyline class="fit__points" points={path(fit.points, x, y)} />
        {pairs.map((pair, at) => <Mark key={at} state={pair.state} x={x(pair.us)} y={y(pair.deg)} />)}
      </svg>
      <svg viewBox={`0 0 ${WIDTH} ${BELOW}`} role="img" aria-label={`Off the line: ${pairs.map((pair) => `${short(pair.off)}° at ${round(pair.us)} µs`).join(", ")}.`}>
        <text class="fit__words" x={LEFT - 4} y={off(room) + 6} text-anchor="end">+{short(room)}°</text>
        <text class="fit__words" x={LEFT - 4} y={off(0) + 4} text-anchor="end">line</text>
        <text class="fit__words" x={LEFT - 4} y={off(-room) + 2} text-anchor="end">{short(-room)}°</text>
        <line class="fit__line" x1={LEFT} x2={WIDTH - RIGHT} y1={off(0)} y2={off(0)} />
        {pairs.map((pair, at) => (
          <g key={at}>
            <line class="fit__stem" x1={x(pair.us)} x2={x(pair.us)} y1={off(0)} y2={off(kept(pair.off))} />
            <Mark state={pair.state} x={x(pair.us)} y={off(kept(pair.off))} />
          </g>
        ))}
      </svg>
      <figcaption class="quiet">
        Above: angle over pulse; below: how far each pair lies off the line. Thick: what the servo gets; thin: the straight line; dashed: the
        servo as it is now. ● used{pairs.some(({ state }) => state === "merged") && ", ◆ merged with its neighbour"}
        {out > 0 && ", ✕ left out: measure it again"}.
      </figcaption>
    </figure>
  );
}

function Mark({ state, x, y }: { state: MeasuredRow["state"]; x: number; y: number }) {
  if (state === "left_out") return <path class="fit__out" d={`M${x - 5} ${y - 5}l10 10m0 -10l-10 10`} />;
  if (state === "merged") return <path class="fit__merged" d={`M${x} ${y - 5}l5 5l-5 5l-5 -5z`} />;
  return <circle class="fit__used" cx={x} cy={y} r={3.5} />;
}

function path(points: readonly (readonly [number, number])[], x: Scale, y: Scale): string {
  return points.map(([us, deg]) => `${x(us).toFixed(1)},${y(deg).toFixed(1)}`).join(" ");
}

function scale(from: number, to: number, begin: number, end: number): Scale {
  return (number) => begin + ((number - from) / (to - from || 1)) * (end - begin);
}
