// Runs in the page before its own code, after pictures.js: what the pictures take while something moves.
{
  const wait = (ms) => new Promise((next) => setTimeout(next, ms));

  /** Times between the pictures of a doing, each taken when it was done [ms]; at what is not drawn nothing is counted. */
  async function watched(doing) {
    const { pictures, stop } = window.watchPictures();
    await doing();
    await window.dragOver?.();
    await stop();
    const done = pictures.filter(({ drawn }) => drawn).map((picture) => picture.done);
    return { between: done.slice(1).map((at, index) => at - done[index]), frames: pictures.length, drawn: done.length };
  }

  /** A slider of the Channels moved to and fro under a pointer, 60 events a second. */
  window.slid = (count) =>
    watched(async () => {
      const slider = document.querySelector(".channel input[type=range]");
      const { max } = slider;
      slider.dispatchEvent(new PointerEvent("pointerdown", { bubbles: true, isPrimary: true }));
      for (let step = 0; step < count; step += 1) {
        slider.value = String(Math.round((0.5 + 0.4 * Math.sin(step / 20)) * max));
        slider.dispatchEvent(new InputEvent("input", { bubbles: true }));
        await wait(1000 / 60);
      }
      slider.dispatchEvent(new PointerEvent("pointerup", { bubbles: true, isPrimary: true }));
      slider.dispatchEvent(new Event("change", { bubbles: true }));
    });

  window.watched = (ms) => watched(() => wait(ms));
}
