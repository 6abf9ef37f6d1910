// The two doors that stand in the page: a link and a zip. `node tests/fuzz/page_doors.mjs FIRST COUNT` puts mutated
// ones through the page's own code and prints, as JSON, what became of them.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const SECONDS = 5;
const BYTES = 512 * 2 ** 20;
const web = join(dirname(fileURLToPath(import.meta.url)), "..", "..", "web");
const { build } = await import(join(web, "node_modules", "esbuild", "lib", "main.js"));

/** The page's module as Node can load it. */
async function module(name, folder) {
  const outfile = join(folder, `${name}.mjs`);
  const entry = join(web, "src", "work", `${name}.ts`);
  await build({ entryPoints: [entry], outfile, bundle: true, format: "esm", platform: "node", logLevel: "error" });
  return import(outfile);
}

/** Numbers from 0 to 1, the same in every run: a linear congruential generator (Numerical Recipes, from memory). */
function random(seed) {
  let state = (seed * 7919 + 1) >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Bytes changed one to four times: flipped, cut, repeated, with a length that no one meant. */
function mutated(next, bytes) {
  let content = Uint8Array.from(bytes);
  for (let times = [1, 1, 2, 4][Math.floor(next() * 4)]; times > 0; times -= 1) {
    const at = Math.floor(next() * content.length);
    const way = Math.floor(next() * 4);
    if (way === 0) content[at] ^= 1 << Math.floor(next() * 8);
    else if (way === 1) content = content.slice(0, at);
    else if (way === 2) content = joined(content.slice(0, at), content.slice(Math.floor(next() * content.length)));
    else for (let i = 0; i < 4; i += 1) content[at + i] = next() < 0.5 ? 0xff : 0;
  }
  return content;
}

function joined(a, b) {
  const both = new Uint8Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}

const folder = mkdtempSync(join(tmpdir(), "posekit-doors-"));
const { unpack, pack } = await module("files", folder);
const { unlink, link } = await module("links", folder);
rmSync(folder, { recursive: true });

const text = new TextEncoder().encode(`format = 1\nname = "Wader"\n${"# a line\n".repeat(40)}`);
const files = { "prop.toml": text, "looks/low.csv": Uint8Array.from({ length: 300 }, (_, at) => at % 251) };
const zips = [pack("wader", files), pack("big", { ...files, "meshes/block.stl": new Uint8Array(3_000_000) })];
const shared = [
  { prop: "wader", over: true, files: {}, values: { nod: 128 } },
  { prop: "wader", over: false, files, values: { nod: 1, pan: 65535 } },
];
const KEY = "#pose=";
const fragments = await Promise.all(shared.map(async (each) => (await link(each, "https://example.org/")).split(KEY)[1]));
const odd = ["null", "[]", '{"prop":1}', '{"prop":"a","values":null,"files":{}}', '{"prop":"a","values":{"n":1e999},"files":{}}'];
const odds = await Promise.all(odd.map(packed));

async function packed(json) {
  const stream = new Blob([json]).stream().pipeThrough(new CompressionStream("deflate-raw"));
  return Buffer.from(await new Response(stream).arrayBuffer()).toString("base64url");
}

const doors = {
  zip: {
    good: zips,
    make: (next) => mutated(next, zips[Math.floor(next() * zips.length)]),
    enter: (zip) => isFolder(unpack(zip, "prop").files),
  },
  link: {
    good: fragments,
    make: (next) => {
      const letters = [...fragments, ...odds][Math.floor(next() * (fragments.length + odds.length))];
      const bytes = Buffer.from(letters, "base64url");
      // Half of them are wrong as letters, half as what the letters stand for.
      if (next() < 0.5) return Buffer.from(mutated(next, bytes)).toString("base64url");
      return Buffer.from(mutated(next, Buffer.from(letters))).toString("latin1");
    },
    enter: async (letters) => {
      const found = await unlink(KEY + letters);
      return found === null || (isFolder(found.files) && Object.values(found.values).every(Number.isFinite));
    },
  },
};

function isFolder(found) {
  return Object.values(found).every((content) => content instanceof Uint8Array);
}

/** `answered`, `refused`, or what went wrong. */
async function tried({ make, enter }, seed) {
  const content = make(random(seed));
  const [before, held] = [process.cpuUsage(), process.memoryUsage().rss];
  let end = "answered";
  try {
    if (!(await enter(content))) end = "answered with what is no folder";
  } catch (problem) {
    // A refusal is a sentence of ours: a library's own words are not.
    const said = problem instanceof Error && problem.constructor !== TypeError ? problem.message : "";
    end = /^(The zip|This link) .{10,300}\.$/.test(said) ? "refused" : `${problem}`;
  }
  const { user, system } = process.cpuUsage(before);
  if (user + system > SECONDS * 1e6) end = `took more than ${SECONDS} s`;
  if (process.memoryUsage().rss - held > BYTES) end = `took more than ${BYTES} bytes`;
  return end;
}

const [first, count] = process.argv.slice(2).map(Number);
const told = {};
for (const [name, door] of Object.entries(doors)) {
  told[name] = { good: 0, answered: 0, refused: 0, faults: [] };
  for (const content of door.good) told[name].good += Number((await door.enter(content)) === true);
  for (let seed = first; seed < first + count; seed += 1) {
    const end = await tried(door, seed);
    if (end === "answered" || end === "refused") told[name][end] += 1;
    else told[name].faults.push(`${seed}: ${end}`);
  }
}
console.log(JSON.stringify(told));
