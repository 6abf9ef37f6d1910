/** Times and readings in words. */

/** Minutes, seconds and hundredths, such as 1:02.50. */
export function clock(seconds: number): string {
  const hundredths = Math.round(seconds * 100); // rounded first: no minute has 60.00 seconds
  const minutes = Math.floor(hundredths / 6000);
  return `${minutes}:${((hundredths - minutes * 6000) / 100).toFixed(2).padStart(5, "0")}`;
}

/** A number to three digits, without an exponent. */
export function short(number: number): string {
  const size = Math.abs(number);
  const text = number.toFixed(size >= 100 ? 0 : size >= 10 ? 1 : 2);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "−");
}

/** What is proved to be as much or more, in so many digits: never more than was proved. */
export function downward(number: number, digits: number): string {
  const unit = 10 ** digits;
  return (Math.floor(number * unit + 1e-6) / unit).toFixed(digits); // what is off by rounding alone stays
}

/** What is proved to be as much at most, in so many digits: never less than was proved. */
export function upward(number: number, digits: number): string {
  const unit = 10 ** digits;
  return (Math.ceil(number * unit - 1e-6) / unit).toFixed(digits); // likewise
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
