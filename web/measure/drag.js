// Runs in the page before its own code, after pictures.js: `dragged` drags a joint by pointer events, 60 a second, and
// tells how long each took to be seen [ms], in four steps: until Python was asked, its answer, the next frame, the drawing of
// that. A picture is seen when the graphics have done all that was asked for it. For a mouse moved from outside
// `dragWay` tells where, `dragWatched` begins and `dragEnd` ends.
{
  const told = []; // when the page was told where the parts are, for which place of the pointer, and when it asked
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
      if (message.method === "pull_joint") asked.set(message.id, { px: posekit.seen([...message.params.target]), asked: performance.now() });
      super.postMessage(message, ...rest);
    }
  };
  const asked = new Map(); // the place of the pointer that a request is for and when it went out, by its id

  /** The event whose pointer was nearest to a place. */
  function nearest([x, y]) {
    const away = events.map(({ px }) => Math.hypot(px[0] - x, px[1] - y));
    return away.indexOf(Math.min(...away));
  }

  /** Where the pointer is pressed, and the way it takes from there. */
  window.dragWay = ({ tool, events: count }) => {
    const turns = tool === "Turn by hand";
    const start = turns ? posekit.spot("arm") : grip();
    const way = Array.from({ length: count }, (_, sent) => {
      const swing = Math.sin((sent / count) * 2 * Math.PI) * 60 + sent * 0.001;
      return turns ? [start[0] + swing, start[1] + sent * 0.3] : [start[0] + sent * 0.001, start[1] - sent * 0.4];
    });
    return { start, way };
  };

  /** From now on pictures and, if a mouse moves the pointer, its events are noted; `end` tells the times. */
  window.dragWatched = ({ tool, mouse }) => {
    const turns = tool === "Turn by hand";
    events = [];
    told.length = 0;
    const { pictures, stop } = window.watchPictures();
    const since = performance.now();
    const note = ({ timeStamp, clientX, clientY }) => events.push({ at: timeStamp, px: [clientX, clientY] });
    const noteAll = (event) => event.getCoalescedEvents().forEach(note); // every move of the mouse, which one event may tell of
    if (mouse) addEventListener("pointermove", noteAll, { capture: true });
    window.dragEnd = async () => {
      const seconds = (performance.now() - since) / 1000;
      const seenIn = pictures.filter(({ drawn }) => drawn).length;
      await window.dragOver?.(); // for who looks from outside at what it took
      await new Promise((next) => setTimeout(next, 1500));
      await stop();
      removeEventListener("pointermove", noteAll, { capture: true });
      return { ways: ways(turns, pictures), pictures: seenIn, seconds };
    };
  };

  /** The way of a pointer whose events a script sends, at any time within a frame. */
  window.dragged = async ({ tool, events: count }) => {
    const canvas = document.querySelector("canvas");
    const { start, way } = window.dragWay({ tool, events: count });
    const send = (type, [x, y], buttons) =>
      canvas.dispatchEvent(
        new PointerEvent(type, { clientX: x, clientY: y, pointerId: 1, isPrimary: true, button: type === "pointermove" ? -1 : 0, buttons, pointerType: "mouse", bubbles: true, cancelable: true }),
      );
    canvas.setPointerCapture = canvas.releasePointerCapture = () => undefined; // there is no real pointer
    window.dragWatched({ tool, mouse: false });
    send("pointerdown", start, 1);
    await new Promise((over) => {
      let sent = 0;
      const timer = setInterval(() => {
        const px = way[sent];
        events.push({ at: performance.now(), px });
        send("pointermove", px, 1);
        sent += 1;
        if (sent === count) {
          clearInterval(timer);
          over();
        }
      }, 1000 / 60);
    });
    const found = await window.dragEnd();
    if (tool === "Turn by hand") send("pointerup", way.at(-1), 0);
    else window.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape" }));
    delete canvas.setPointerCapture;
    delete canvas.releasePointerCapture;
    return found;
  };

  // What is dragged itself is drawn in the next picture; what Python poses, in the next after its answer.
  const ways = (turns, pictures) => {
    const answers = told.map((each) => ({ ...each, event: nearest(each.px) }));
    return events.map(({ at }, index) => {
      const answer = turns ? answers.find(({ event }) => event >= index) : { asked: at, at };
      const picture = answer && pictures.find(({ begun }) => begun >= answer.at);
      return picture ? [answer.asked - at, answer.at - answer.asked, picture.begun - answer.at, picture.done - picture.begun] : [1e4, 0, 0, 0];
    });
  };

  /** On the arrow of the handles that goes up. */
  function grip() {
    const eye = posekit.eye();
    const at = [0.03, 0.12, 0];
    const size = Math.hypot(...at.map((each, index) => each - eye[index])) * Math.tan((35 * Math.PI) / 360) * 0.26;
    return posekit.seen([at[0], at[1] + 0.6 * size, at[2]]);
  }
}
