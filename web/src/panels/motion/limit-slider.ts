/** Speed and acceleration of a drive as a slider: even steps by feel, which is by ratio. */

const STEPS = 200;

/** Where a slider of STEPS stands for a limit; at the very end for none. */
export function toSlider(limit: number | null, least: number, most: number): number {
  if (limit === null) return STEPS;
  const share = Math.log(limit / least) / Math.log(most / least);
  return Math.round(Math.min(Math.max(share, 0), 1) * (STEPS - 1));
}

/** The limit of a slider, in two digits that can be typed; null at the very end. */
export function fromSlider(at: number, least: number, most: number): number | null {
  return at >= STEPS ? null : Number((least * (most / least) ** (at / (STEPS - 1))).toPrecision(2));
}

export const LAST_STEP = STEPS;
