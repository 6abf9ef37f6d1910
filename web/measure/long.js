// Runs in the page before its own code: `longWork` begins long work by its button, stops it if told to, and tells when
// Python told how far it is and how long it was until all was still; `atRest` waits until nothing is under way.
{
  const answers = []; // what the page's workers answered: of which method, in which phase of the work, when
  let open = 0; // requests of the page that no worker has answered yet
  const { Worker } = window;
  window.Worker = class extends Worker {
    asked = new Map();
    constructor(...all) {
      super(...all);
      this.addEventListener("message", ({ data }) => {
        const method = this.asked.get(data.id);
        if (this.asked.delete(data.id)) open -= 1;
        if (data.kind === "result" && method) answers.push({ method, phase: data.result?.phase ?? "", at: performance.now() });
      });
    }
    postMessage(message, ...rest) {
      this.asked.set(message.id, message.method);
      open += 1;
      super.postMessage(message, ...rest);
    }
  };

  const [QUIET_FRAMES, LONG_FRAME_MS] = [60, 50];
  const wait = (ms) => new Promise((next) => setTimeout(next, ms));
  const button = (words) => [...document.querySelectorAll("button")].find((each) => each.textContent.trim().startsWith(words));

  async function until(holds, most) {
    const end = performance.now() + most;
    while (!holds() && performance.now() < end) await wait(4);
    return holds();
  }

  const frame = () => new Promise((next) => requestAnimationFrame(next));

  /**
   * Whether all came to rest: the prop stands posed and Python ready, no request is open, and the frames of a second came
   * one after the other, so that nothing is drawn or made of it any more.
   */
  window.atRest = async (most) => {
    const end = performance.now() + most;
    const { dataset } = document.documentElement;
    let [even, before] = [0, await frame()];
    while (even < QUIET_FRAMES && performance.now() < end) {
      const now = await frame();
      const still = open === 0 && dataset.picture === "posed" && dataset.engine === "ready" && now - before < LONG_FRAME_MS;
      even = still ? even + 1 : 0;
      before = now;
    }
    return even >= QUIET_FRAMES;
  };

  /** Begin; for how long Python worked until its first word [ms], the time until it held the prop aside. */
  async function begun({ begin, own }) {
    if (!(await until(() => button(begin), 60_000))) throw new Error(`no button: ${begin}`);
    answers.length = 0;
    const clicked = performance.now();
    button(begin).click();
    if (!(await until(() => answers.some(({ method }) => method === own), 120_000))) throw new Error(`never begun: ${begin}`);
    const first = answers.findIndex(({ method }) => method === own);
    const held = answers.slice(0, first).findLast(({ method }) => method === "open")?.at ?? clicked;
    return answers[first].at - held;
  }

  /** Times between two tellings by what the work was at [ms], in how many seconds, and from Stop until it may begin again. */
  window.longWork = async (work, most) => {
    const first = await begun(work);
    const since = performance.now();
    const done = await until(() => button(work.begin), most);
    const seconds = (performance.now() - since) / 1000;
    const stop = performance.now();
    if (!done) {
      button(work.stop).click();
      await until(() => button(work.begin), 120_000);
    }
    const told = answers.filter(({ method, at }) => method.startsWith(work.own) && at <= stop);
    const between = told.slice(1).map(({ at }, index) => ({ phase: told[index].phase, ms: at - told[index].at }));
    return { first, seconds, done, between, stopped: done ? null : performance.now() - stop };
  };

  /** A slider moved while the work runs; ends both. */
  window.meanwhile = async (work, slider, count) => {
    await begun(work);
    const found = await window.slid(slider, count);
    const still = button(work.stop);
    still?.click();
    await until(() => button(work.begin), 120_000);
    return { ...found, ran: Boolean(still) };
  };
}
