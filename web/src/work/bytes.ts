/** Whether two files hold the same bytes. */
export function same(one: Uint8Array | undefined, other: Uint8Array | undefined): boolean {
  if (!one || !other || one.length !== other.length) return false;
  return one.every((byte, index) => byte === other[index]);
}
