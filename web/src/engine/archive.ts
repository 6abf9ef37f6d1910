// The archives that web/runtime/pack.py makes: zips whose files are stored as they are. The transport compresses
// them; here they only need to be cut up, which takes a sixth of the time that Python takes for it.
// Layout: APPNOTE.TXT of PKWARE, 4.3.12 (central directory) and 4.3.16 (its end).

const END_BYTES = 22;

/** Path and content of each file. The contents are windows on `archive`. */
export function* stored(archive: Uint8Array<ArrayBuffer>): Generator<[string, Uint8Array<ArrayBuffer>]> {
  const view = new DataView(archive.buffer, archive.byteOffset, archive.byteLength);
  const text = new TextDecoder();
  const end = archive.byteLength - END_BYTES;
  let at = view.getUint32(end + 16, true);
  for (let left = view.getUint16(end + 10, true); left > 0; left--) {
    const size = view.getUint32(at + 24, true);
    const [name, extra, comment] = [28, 30, 32].map((field) => view.getUint16(at + field, true)) as [number, number, number];
    const local = view.getUint32(at + 42, true);
    const start = local + 30 + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
    yield [text.decode(archive.subarray(at + 46, at + 46 + name)), archive.subarray(start, start + size)];
    at += 46 + name + extra + comment;
  }
}
