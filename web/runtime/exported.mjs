// Leave out of Pyodide's binary the names that nothing asks for. It exports all of its 9,700 functions and variables, for
// any package there may be, and at each start JavaScript makes an object of each and walks through them several times.

const NAMED = /var (\w+)=Module\["\1"\]=wasmExports\["(\w+)"\];/g; // a line each in the loader, and for most all there is
const EXPORTS = 7; // the section of that name (WebAssembly Core Specification 5.5.10)

/**
 * The binary, and the loader that names what it exports, with those names alone that the loader uses, the binary looks
 * up itself, or one of these modules that are linked to it later imports. No function goes, only ways to name it.
 */
export function shortened(binary, loader, linkedLater) {
  const used = new Set(loader.replace(NAMED, "").match(/[\w$]+/g));
  for (const bytes of [binary, ...linkedLater]) {
    for (const { name } of WebAssembly.Module.imports(new WebAssembly.Module(bytes))) used.add(name);
  }
  const wanted = (name) => used.has(name) || used.has(`_${name}`); // in C `free`, in JavaScript `_free`
  return {
    binary: withExports(binary, wanted),
    loader: loader.replace(NAMED, (line, _, name) => (wanted(name) ? line : "")),
  };
}

/** The binary with those of its exports whose names are `wanted`. */
function withExports(binary, wanted) {
  const { start, from, to } = section(binary, EXPORTS);
  const [count, first] = unsigned(binary, from);
  const kept = [];
  let at = first;
  for (let left = count; left > 0; left--) {
    const begins = at;
    const [length, letters] = unsigned(binary, at);
    at = unsigned(binary, letters + length + 1)[1]; // past the name, its kind and its index
    if (wanted(binary.toString("utf8", letters, letters + length))) kept.push(binary.subarray(begins, at));
  }
  if (at !== to) throw new Error(`Pyodide's exports end at byte ${at}, their section at ${to}`);
  const body = Buffer.concat([unsignedBytes(kept.length), ...kept]);
  return Buffer.concat([
    binary.subarray(0, start), Buffer.of(EXPORTS), unsignedBytes(body.length), body, binary.subarray(to),
  ]);
}

/** Where a section starts, and from where to where its content lies. */
function section(binary, id) {
  let start = 8; // past the magic number and the version
  while (start < binary.length) { // each section is at least its two bytes long
    const [length, from] = unsigned(binary, start + 1);
    if (binary[start] === id) return { start, from, to: from + length };
    start = from + length;
  }
  throw new Error(`Pyodide's binary has no section ${id}`);
}

/** A whole number in LEB128, and where it ends (WebAssembly Core Specification 5.2.2). */
function unsigned(bytes, at) {
  let value = 0;
  for (let place = 0; place < 5; place++) { // of 32 bits, seven to a byte
    const byte = bytes[at + place];
    value += (byte & 0x7f) * 2 ** (7 * place);
    if (byte < 0x80) return [value, at + place + 1];
  }
  throw new Error(`no whole number of 32 bits at byte ${at}`);
}

function unsignedBytes(value) {
  const bytes = [];
  for (let rest = value; rest > 0x7f; rest = Math.floor(rest / 0x80)) bytes.push((rest % 0x80) | 0x80);
  bytes.push(Math.floor(value / 0x80 ** bytes.length));
  return Buffer.from(bytes);
}
