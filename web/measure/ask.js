// Poses a prop in the worker that door.js has opened, and tells how long each took.
async (files) => {
  const bytes = Object.fromEntries(Object.entries(files).map(([path, content]) => [path, new Uint8Array(content)]));
  const { drives } = await ask("open", { files: bytes, name: "measured" });
  const times = { pose: [], clearance: [] };
  for (const method of Object.keys(times)) {
    for (let step = 0; step < 230; step++) {
      // One slider after the other, from end to end; the others where they rest.
      const drive = drives[step % drives.length];
      const values = { [drive.name]: Math.round((drive.full_scale * step) / 229) };
      const start = performance.now();
      await ask(method, { values });
      if (step >= 30) times[method].push(performance.now() - start); // V8 compiles the first ones as they run
    }
  }
  return times;
}
