// Runs in the page before its own code: `slid` moves a channel 60 times a second and tells how long each event took until
// Python's pose of it or of a later one was there [ms]; besides, in how many seconds, and how often the bars were asked for.
{
  const asked = new Map(); // after how many events each pose was asked for, by its id; of the first worker, which poses
  let bars = 0;
  let events = []; // when each event came
  const told = []; // when a pose was there, and how many events it answers
  const { Worker } = window;
  window.Worker = class extends Worker {
    constructor(...all) {
      super(...all);
      this.addEventListener("message", ({ data }) => {
        const known = asked.get(data.id);
        if (data.kind === "result" && known !== undefined) told.push({ known, at: performance.now() });
      });
    }
    postMessage(message, ...rest) {
      if (message.method === "pose") asked.set(message.id, events.length);
      if (message.method === "held") bars += 1;
      super.postMessage(message, ...rest);
    }
  };

  window.slid = async (slider, count) => {
    events = [];
    told.length = 0;
    asked.clear();
    bars = 0;
    const input = document.querySelector(slider);
    const [low, high] = [Number(input.min), Number(input.max)];
    const start = performance.now();
    for (let index = 0; index < count; index += 1) {
      // Each at its time: after one that came late, because the page was busy, the next is not late as well.
      await new Promise((resolve) => setTimeout(resolve, start + (index * 1000) / 60 - performance.now()));
      input.value = String(Math.round(low + (high - low) * (0.5 + 0.5 * Math.sin(index / 9))));
      events.push(performance.now());
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
    const [seconds, moved] = [(performance.now() - start) / 1000, bars];
    await new Promise((resolve) => setTimeout(resolve, 1500));
    const times = events.map((at, index) => (told.find(({ known }) => known > index)?.at ?? at + 1e4) - at);
    return { times, seconds, bars: moved };
  };
}
