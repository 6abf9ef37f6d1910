/** Times and readings in words. */

/** Minutes, seconds and hundredths, such as 1:02.50. */
export function clock(seconds: number): string {
  const minutes = Math.floor(seconds / 60);
  return `${minutes}:${(seconds - minutes * 60).toFixed(2).padStart(5, "0")}`;
}

/** A number to three digits, without an exponent. */
export function short(number: number): string {
  const size = Math.abs(number);
  const text = number.toFixed(size >= 100 ? 0 : size >= 10 ? 1 : 2);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "−");
}

/** A round number, without the noughts behind it. */
export function round(number: number): string {
  return String(Number(number.toPrecision(6))).replace("-", "−");
}

/** A limit with its unit; what stands without one is as fast as the servo. */
export function limitText(limit: number | null, unit: string): string {
  return limit === null ? "none" : `${short(limit)} ${unit}`;
}

export const SPEED = "°/s";
export const ACCELERATION = "°/s²";
