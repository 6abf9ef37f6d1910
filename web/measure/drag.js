// Runs in the page before its own code, after pictures.js: `dragged` drags a joint by pointer events, 60 a second, and
// tells how long each took to be seen [ms], in four steps: until Python was asked, its answer, the next frame, the drawing of
// that. A picture is seen when the graphics have done all that was asked for it.
{
  const told = []; // when the page was told where the parts are, which event that answers, and when it asked
  let events = []; // when each event came, and where its pointer was
  const { Worker } = window;
  window.Worker = class extends Worker {
    constructor(...all) {
      super(...all);
      this.addEventListener("message", ({ data }) => {
        const request = asked.get(data.id);
        if (data.kind === "result" && request) told.push({ ...request, at: performance.now() });
      });
    }
    postMessage(message, ...rest) {
      if (message.method === "pull_joint") asked.set(message.id, { event: nearest(message.params.target), asked: performance.now() });
      super.postMessage(message, ...rest);
    }
  };
  const asked = new Map(); // the event that a request answers and when it went out, by its id

  /** The event whose pointer was where a target is seen. */
  function nearest(target) {
    const [x, y] = posekit.seen([...target]);
    let best = -1;
    let least = Infinity;
    events.forEach(({ px }, index) => {
      const away = Math.hypot(px[0] - x, px[1] - y);
      if (away < least) [best, least] = [index, away];
    });
    return best;
  }

  window.dragged = async ({ tool, events: count }) => {
    const canvas = document.querySelector("canvas");
    const turns = tool === "Turn by hand";
    const start = turns ? posekit.spot("arm") : grip();
    const send = (type, [x, y], buttons) =>
      canvas.dispatchEvent(
        new PointerEvent(type, { clientX: x, clientY: y, pointerId: 1, isPrimary: true, button: type === "pointermove" ? -1 : 0, buttons, pointerType: "mouse", bubbles: true, cancelable: true }),
      );
    canvas.setPointerCapture = canvas.releasePointerCapture = () => undefined; // there is no real pointer
    events = [];
    told.length = 0;

    const { pictures, stop } = window.watchPictures();
    send("pointerdown", start, 1);
    const since = performance.now();
    await new Promise((over) => {
      let sent = 0;
      const timer = setInterval(() => {
        const swing = Math.sin((sent / count) * 2 * Math.PI) * 60 + sent * 0.001;
        const px = turns ? [start[0] + swing, start[1] + sent * 0.3] : [start[0] + sent * 0.001, start[1] - sent * 0.4];
        const at = performance.now();
        events.push({ at, px });
        send("pointermove", px, 1);
        sent += 1;
        if (sent === count) {
          clearInterval(timer);
          over();
        }
      }, 1000 / 60);
    });
    const seconds = (performance.now() - since) / 1000;
    const seenIn = pictures.filter(({ drawn }) => drawn).length;
    await window.dragOver?.(); // for who looks from outside at what it took
    await new Promise((next) => setTimeout(next, 1500));
    await stop();
    if (turns) send("pointerup", events.at(-1).px, 0);
    else window.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape" }));

    // What is dragged itself is drawn in the next picture; what Python poses, in the next after its answer.
    const ways = events.map(({ at }, index) => {
      const answer = turns ? told.find(({ event }) => event >= index) : { asked: at, at };
      const picture = answer && pictures.find(({ begun }) => begun >= answer.at);
      return picture ? [answer.asked - at, answer.at - answer.asked, picture.begun - answer.at, picture.done - picture.begun] : [1e4, 0, 0, 0];
    });
    return { ways, pictures: seenIn, seconds };
  };

  /** On the arrow of the handles that goes up. */
  function grip() {
    const eye = posekit.eye();
    const at = [0.03, 0.12, 0];
    const size = Math.hypot(...at.map((each, index) => each - eye[index])) * Math.tan((35 * Math.PI) / 360) * 0.26;
    return posekit.seen([at[0], at[1] + 0.6 * size, at[2]]);
  }
}
