// Moves the sliders of a prop in the worker that door.js has opened, and tells how long each answer took [ms]:
// the pose alone, and the pose with the clearances that the page shows of it.
// With `surveyed`, a second worker judges the whole envelope meanwhile.
async ({ files, surveyed }) => {
  const prop = {
    name: "measured",
    files: Object.fromEntries(Object.entries(files).map(([path, content]) => [path, new Uint8Array(content)])),
  };
  const WHOLE_S = 60; // near pairs at once, where the page asks for them in steps
  const { drives } = await ask("open", prop);

  async function moved(methods, step) {
    // One slider after the other, from end to end; the others where they rest.
    const drive = drives[step % drives.length];
    const values = { [drive.name]: Math.round((drive.full_scale * (step % 230)) / 229) };
    const start = performance.now();
    for (const method of methods) await ask(method, method === "near" ? { values, seconds: WHOLE_S } : { values });
    return performance.now() - start;
  }

  if (!surveyed) {
    const times = { pose: [], "pose + near": [] };
    for (const what of Object.keys(times)) {
      for (let step = 0; step < 230; step++) {
        const taken = await moved(what.split(" + "), step);
        if (step >= 30) times[what].push(taken); // V8 compiles the first ones as they run
      }
    }
    return times;
  }

  const other = opened();
  await other("open", prop);
  const begin = performance.now();
  let view = await other("survey", { resolution: 1 });
  const judged = { looks: [], seconds: 0, suggested: 0, open: 0, times: [] };
  const survey = (async () => {
    while (view.phase !== "done") {
      const before = view.phase;
      view = await other("survey_on", { seconds: 0.3 });
      const since = (performance.now() - begin) / 1e3;
      judged.looks.push(since);
      if (before === "judging" && view.phase !== "judging") judged.seconds = since;
    }
    judged.suggested = (performance.now() - begin) / 1e3;
    judged.open = view.settled.filter(({ verdict }) => verdict === "open").length;
  })();
  let done = false;
  survey.finally(() => (done = true));
  for (let step = 0; !done; step++) {
    judged.times.push(await moved(["pose", "near"], step));
    await new Promise((next) => setTimeout(next, 16)); // a hand on a slider, a frame at a time
  }
  await survey;
  return judged;
}
