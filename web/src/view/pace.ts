/**
 * A picture that is slow to draw gives way while anything moves: fewer pixels, no shadows, fewer triangles. At rest it
 * is fine again. How long a fine picture takes is asked of the graphics themselves; where they are no card but a
 * program, which the browser tells, it is slow without asking.
 */

const SLOW_MS = 24; // a fine picture that takes longer is not for what moves
const MOVING_MS = 250; // between pictures: what comes after less goes on moving
const REST_MS = 180; // without a picture asked for: it rests
const HELD_REST_MS = 1000; // and with a pointer down, whose next picture may wait for Python
const SHARES = [0.35, 0.5, 0.7, 1] as const; // of the pixels along a side while it gives way
const [TOO_LONG_MS, SHORT_MS] = [18, 10]; // a picture that gives way: with fewer pixels the next time, or with more
const KEPT = 5; // how long the last ones took

type Gl = WebGL2RenderingContext;

export interface Pace {
  /** A picture is asked for: what moves does not rest, however long the last one took. */
  asked(): void;
  /** A picture comes: give way or be fine. */
  begin(): void;
  /** It was drawn, which may take its time yet. */
  drawn(): void;
  /** Whether the last one gave way. */
  gives(): boolean;
  /** Be fine now, as for a picture to keep. */
  fine(): void;
  /** Be fine until told otherwise, as for a film. */
  steady(on: boolean): void;
  /** Another figure: what was found out of the last one is not of this. */
  forget(): void;
}

/**
 * `gl` is what draws, where that tells when it is done; without it a picture is done at once. `give` hears whether to
 * give way, and to which share of the pixels; `draw` asks for a picture.
 */
export function createPace(gl: Gl | null, slowByNature: boolean, give: (way: number | null) => void, draw: () => void): Pace {
  let last = -Infinity; // when a picture was done
  let due = false; // one is asked for
  let gives = false;
  let held = false; // a pointer is down: what comes is a drag
  let resting = false;
  let steady = false;
  let timer = 0;
  let level = 2;
  let fine: number[] = [];
  let coarse: number[] = [];
  let began = 0;
  let fence: WebGLSync | null = null;

  addEventListener("pointerdown", () => (held = true), { capture: true });
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => (held = false), { capture: true });
  addEventListener("keydown", () => (last = performance.now()), { capture: true }); // a held key is a hand on a slider, too

  const slow = (): boolean => slowByNature || (fine.length > 1 && Math.min(...fine) > SLOW_MS);

  function change(to: boolean): void {
    if (to === gives) return;
    gives = to;
    if (gives && coarse.length === KEPT) {
      const middle = [...coarse].sort((a, b) => a - b)[KEPT >> 1] ?? 0;
      const step = middle > TOO_LONG_MS ? -1 : middle < SHORT_MS ? 1 : 0;
      level = Math.min(Math.max(level + step, 0), SHARES.length - 1);
      coarse = [];
    }
    give(gives ? (SHARES[level] ?? 0.5) : null);
  }

  /** The time from the first command of a picture to the last one done. */
  function time(): void {
    if (fence) return; // the one before is not done yet
    const mark = gl?.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    if (!gl || !mark) {
      keep(gives);
      return done();
    }
    fence = mark;
    gl.flush();
    const [since, ofGiving] = [began, gives];
    const look = (): void => {
      if (!gl.isSync(mark)) {
        fence = null; // the graphics were lost, and it with them
        return done();
      }
      if (gl.getSyncParameter(mark, gl.SYNC_STATUS) !== gl.SIGNALED) {
        setTimeout(look, 4);
        return;
      }
      gl.deleteSync(mark);
      fence = null;
      keep(ofGiving, since);
      done();
    };
    setTimeout(look, 4);
  }

  /** Moving and rest are counted from here: by the time that it took, a slow picture would make what moves seem to rest. */
  function done(): void {
    last = performance.now();
    if (gives && !due) restLater();
  }

  function keep(ofGiving: boolean, since = began): void {
    const taken = performance.now() - since;
    if (ofGiving) coarse = [...coarse, taken].slice(-KEPT);
    else fine = [...fine, taken].slice(-KEPT);
  }

  function restLater(): void {
    clearTimeout(timer);
    const rest = (): void => {
      resting = true;
      draw();
    };
    timer = window.setTimeout(rest, held ? HELD_REST_MS : REST_MS);
  }
  // A fine picture in the middle of a drag would hold up those that follow the pointer.
  addEventListener("pointermove", () => held && gives && restLater(), { capture: true });

  return {
    asked() {
      due = true;
      clearTimeout(timer);
    },

    begin() {
      began = performance.now();
      const moves = !resting && (held || fence !== null || began - last < MOVING_MS);
      resting = due = false;
      change(!steady && moves && slow());
    },

    drawn() {
      clearTimeout(timer);
      time();
    },

    gives: () => gives,

    fine: () => change(false),

    steady(on) {
      steady = on;
      change(false);
    },

    forget: () => void ([fine, coarse] = [[], []]),
  };
}
