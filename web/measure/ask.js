// Runs in a blank document beside the page: poses a prop in the page's own worker and tells how long each took.
async ([address, files]) => {
  const worker = new Worker(address, { type: "module" });
  let id = 0;
  const ask = (method, params) =>
    new Promise((resolve, reject) => {
      const mine = ++id;
      const hear = ({ data }) => {
        if (data.kind === "progress" || (data.id !== undefined && data.id !== mine)) return;
        worker.removeEventListener("message", hear);
        if (data.kind === "result") resolve(data.result);
        else reject(new Error(JSON.stringify(data)));
      };
      worker.addEventListener("message", hear);
      worker.postMessage({ id: mine, method, params });
    });
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
  worker.terminate();
  return times;
}
