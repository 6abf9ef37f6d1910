// Runs in the page before its own code: `watchPictures` tells of each frame when it began and when the graphics had done
// all that was asked for it [ms], and whether the figure was drawn for it.
{
  let draws = 0;
  const { clear } = WebGL2RenderingContext.prototype;
  WebGL2RenderingContext.prototype.clear = function (...all) {
    draws += 1; // every picture of the stage begins so
    return clear.apply(this, all);
  };

  window.watchPictures = (gl = document.querySelector("canvas").getContext("webgl2")) => {
    const pictures = [];
    // They go through in the order asked, so one look at the oldest at a time is enough, and takes little from what is
    // measured.
    const pending = [];
    let watching = true;
    let looking = false;
    let drawn = draws;
    const look = () => {
      while (pending.length > 0 && gl.getSyncParameter(pending[0].fence, gl.SYNC_STATUS) === gl.SIGNALED) {
        const { fence, ...picture } = pending.shift();
        gl.deleteSync(fence);
        pictures.push({ ...picture, done: performance.now() });
      }
      looking = pending.length > 0;
      if (looking) setTimeout(look, 1);
    };
    const watch = () => {
      if (!watching) return;
      requestAnimationFrame(watch);
      const begun = performance.now();
      const channel = new MessageChannel();
      channel.port1.onmessage = () => {
        pending.push({ begun, drawn: draws > drawn, fence: gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0) });
        drawn = draws;
        gl.flush();
        if (!looking) look();
      };
      channel.port2.postMessage(0);
    };
    requestAnimationFrame(watch);
    return {
      pictures,
      async stop() {
        watching = false;
        while (pending.length > 0) await new Promise((next) => setTimeout(next, 20));
      },
    };
  };
}
