// Runs in the page before its own code: `slid` moves a channel once a frame, as a browser hands on the moves of a pointer,
// and tells how long it took from the beginning of each frame until Python's pose of its move or of a later one was there
// [ms]; besides, how long each pose took from when Python was asked for it, in how many seconds, and how often Python was
// asked what.
{
  let events = []; // when the frame of each move began
  let told = []; // when a pose was asked for and was there, and how many events it answers
  let asked = {};
  const { Worker } = window;
  window.Worker = class extends Worker {
    poses = new Map(); // of what is asked for, by its id: each worker counts its own
    constructor(...all) {
      super(...all);
      this.addEventListener("message", ({ data }) => {
        const pose = this.poses.get(data.id);
        if (data.kind === "result" && pose) told.push({ ...pose, at: performance.now() });
      });
    }
    postMessage(message, ...rest) {
      if (message.method === "pose") this.poses.set(message.id, { events, answers: events.length, since: performance.now() });
      asked[message.method] = (asked[message.method] ?? 0) + 1;
      super.postMessage(message, ...rest);
    }
  };

  const wait = (ms) => new Promise((next) => setTimeout(next, ms));
  const frame = () => new Promise((next) => requestAnimationFrame(next));

  window.slid = async (slider, count) => {
    const own = [];
    [events, told, asked] = [own, [], {}];
    const input = document.querySelector(slider);
    const [low, high] = [Number(input.min), Number(input.max)];
    const start = performance.now();
    let next = frame();
    for (let index = 0; index < count; index += 1) {
      const begun = await next;
      next = frame(); // asked for first, as moves come to a page before all else of a frame
      input.value = String(Math.round(low + (high - low) * (0.5 + 0.5 * Math.sin((begun - start) / 150))));
      own.push(begun);
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
    const [seconds, moving] = [(performance.now() - start) / 1000, { ...asked }];
    for (let looks = 0; looks < 100 && !(told.at(-1)?.answers >= count); looks += 1) await wait(20);
    const answers = told.filter((each) => each.events === own); // none that was asked for before
    const times = own.map((at, index) => (answers.find((each) => each.answers > index)?.at ?? at + 1e4) - at);
    return { times, poses: answers.map(({ since, at }) => at - since), seconds, asked: moving };
  };
}
