// Bytes of files as they are, by gzip and by brotli: node sizes.mjs FILE...; prints JSON.

import { readFile } from "node:fs/promises";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";

const params = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 24 };
const sizes = {};
for (const file of process.argv.slice(2)) {
  const bytes = await readFile(file);
  // What a host sends compressed it sends plain where that is shorter.
  const [gzip, brotli] = [gzipSync(bytes, { level: 9 }), brotliCompressSync(bytes, { params })];
  sizes[file] = { plain: bytes.length, gzip: Math.min(bytes.length, gzip.length), brotli: Math.min(bytes.length, brotli.length) };
}
console.log(JSON.stringify(sizes));
