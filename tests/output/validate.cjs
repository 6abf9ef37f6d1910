// Prints the Khronos validator's report on one GLB as JSON, with errors (0) and warnings (1) only.
const { readFileSync } = require("node:fs");
const { createRequire } = require("node:module");
const { join } = require("node:path");

const web = createRequire(join(__dirname, "../../web/package.json"));
const { validateBytes } = web("gltf-validator");

validateBytes(new Uint8Array(readFileSync(process.argv[2]))).then((report) => {
  report.issues.messages = report.issues.messages.filter((found) => found.severity < 2);
  console.log(JSON.stringify(report));
});
