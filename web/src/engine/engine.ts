// The page's side of the door: one worker, requests in order, and of a kind that repeats only the newest, as frames can show them.

import { newWorker } from "./launch";
import type { FromWorker, Method, Progress, ToWorker } from "./messages";
import { IN_STEPS, NEWEST_WINS, POSEKIT, type FileView, type FindingView, type Hello, type Methods } from "./protocol";

type Params<M extends Method> = Methods[M]["params"];
type Result<M extends Method> = Methods[M]["result"];

/** What leaves the page as a file, or is named in one: of another prop than it was asked of it is not made. A scene is only drawn. */
export type Made =
  | Exclude<{ [M in Method]: Result<M> extends FileView | { readonly file: FileView | null } ? M : never }[Method], "scene">
  | "write_snapshot"
  | "fingerprint";
type Asking = Exclude<Method, Made>;
/** Ask for what is made. Rejects with Overtaken where another prop has come before it was. */
export type Make = <M extends Made>(method: M, params: Params<M>) => Promise<Result<M>>;

/** Python would not do it, and says why. */
export class Refused extends Error {
  constructor(readonly findings: readonly FindingView[]) {
    super(findings.map((finding) => finding.text).join("\n"));
  }
}

/** A newer request of the same kind took the place of this one; there is nothing to do. */
export class Stale extends Error {}

/** Python would not do it, and the prop it was asked of stands no more: what it says is of another one than is seen. */
export class Overtaken extends Stale {
  constructor(words = "The prop changed while this was asked. Try again.") {
    super(words);
  }
}

/** What is told of a file that was to be of a prop which stands no more. */
export const NOT_MADE = "Not made: another prop came before it was. Try again.";

/** The worker went away before it could answer. `restart` brings it back. */
export class Stopped extends Error {}

/**
 * Whether nobody need hear of a problem of what nobody pressed for: a newer question or another prop took its place, and
 * is asked about anew, or Python went, which the page tells. What was pressed is told by `complain`, these as well.
 */
export function isMoot(problem: unknown): boolean {
  return problem instanceof Stale || problem instanceof Stopped;
}

interface Request {
  readonly message: ToWorker;
  readonly resolve: (result: never) => void;
  readonly reject: (reason: Error) => void;
  /** It waited until it was due, as for a frame at whose beginning it goes out: one that is asked in that frame does not wait for it. */
  waited: boolean;
  /** It brings another prop, or another state of it; else it asks about the one that stands. */
  readonly brings: boolean;
  /** The prop that it brings, or that it is to be made of; null where it brings no other, or asks only. */
  readonly prop: string | null;
  /** What it asks about stands no more. */
  overtaken: boolean;
}

const LONGEST_FRAME_MS = 250; // a window that is covered may have none
const MOVING_MS = 150; // after what repeats was asked for last, be it by a key that is held down

/** Do it once the next frame begins. */
function inNextFrame(doing: () => void): void {
  let done = false;
  const once = (): void => {
    if (!done) doing();
    done = true;
  };
  requestAnimationFrame(once);
  setTimeout(once, LONGEST_FRAME_MS);
}

export class Engine {
  private worker: Worker | null = null;
  private waiting: Request[] = [];
  private running: Request | null = null;
  private readonly asked = new Set<Method>(); // kinds that repeat, of which one went out and the next is not due
  private lastId = 0;
  private lastMove = -Infinity; // when what repeats was asked for
  private stands = ""; // the prop that Python holds, by the name that the bench has for it

  constructor(private readonly tell: (progress: Progress) => void) {
    this.start();
  }

  /** Ask Python. Rejects with Refused, Stale or Stopped. */
  ask<M extends Asking>(method: M, params: Params<M>): Promise<Result<M>> {
    return this.send(method, params, false, null);
  }

  /** Ask for what leaves the page, of this prop. Rejects as `ask`, and with Overtaken where Python holds another when it comes to it. */
  make<M extends Made>(method: M, params: Params<M>, of: string): Promise<Result<M>> {
    return this.send(method, params, false, of);
  }

  /** Have Python hold this prop, or the same otherwise: what was asked meanwhile was asked of the one before. */
  bring<M extends Asking>(method: M, params: Params<M>, prop: string | null = null): Promise<Result<M>> {
    const brought = this.send(method, params, true, prop);
    brought.then(() => this.overtake(), () => undefined); // before whoever waits for it, and so before anything new is asked
    return brought;
  }

  /** Another prop stands from now on: of what is not answered yet a refusal is nothing to tell. */
  overtake(): void {
    for (const request of this.unanswered()) request.overtaken = !request.brings;
  }

  private send<M extends Method>(method: M, params: Params<M>, brings: boolean, prop: string | null): Promise<Result<M>> {
    return new Promise((resolve, reject) => {
      if (!this.worker) {
        reject(new Stopped("Python is not running"));
        return;
      }
      if (NEWEST_WINS.has(method)) {
        this.lastMove = performance.now();
        const older = this.waiting.findIndex((request) => request.message.method === method);
        if (older >= 0) this.waiting.splice(older, 1)[0]?.reject(new Stale(method));
      }
      const message = { id: ++this.lastId, method, params };
      this.waiting.push({ message, resolve: resolve as (result: never) => void, reject, waited: false, brings, prop, overtaken: false });
      this.next();
    });
  }

  /** Whether anything that was asked is not answered yet. */
  busy(): boolean {
    return this.running !== null || this.waiting.length > 0;
  }

  /** Whether something moves, or did a moment ago: one pose after the other is asked for, or whatever else repeats. */
  moves(): boolean {
    return performance.now() - this.lastMove < MOVING_MS;
  }

  /** Throw the worker away, with all it was asked, and start another; it knows no prop until `open`. */
  restart(): void {
    this.stop("restarted");
    this.start();
  }

  /** End the worker. */
  stop(reason: string): void {
    this.worker?.terminate();
    this.worker = null;
    const lost = this.unanswered();
    this.running = null;
    this.waiting = [];
    for (const request of lost) request.reject(new Stopped(reason));
    this.tell({ stage: "stopped", done: 0, total: 0, reason });
  }

  private unanswered(): Request[] {
    return this.running ? [this.running, ...this.waiting] : this.waiting;
  }

  private start(): void {
    this.tell({ stage: "starting", done: 0, total: 0 });
    const worker = newWorker({ hear: (message) => this.hear(message), failed: (reason) => this.stop(reason) });
    this.worker = worker;
    this.ask("hello", {}).then((hello) => this.worker === worker && this.greet(hello), () => undefined);
  }

  private greet(hello: Hello): void {
    // A cache may have kept an old page beside a new worker; the two must speak the same protocol.
    if (hello.posekit !== POSEKIT) {
      this.stop(`this page is posekit ${POSEKIT} and its worker ${hello.posekit}: reload the page`);
      return;
    }
    this.tell({ stage: "ready", done: 1, total: 1 });
  }

  /** A worker that is ended from outside, as for want of memory, says nothing: whoever gets its lock knows. */
  private watch(lock: string): void {
    const { worker } = this;
    void navigator.locks.request(lock, () => {
      if (worker && this.worker === worker) this.stop("the browser ended it");
    });
  }

  private next(): void {
    if (this.running || !this.worker) return;
    // Where frames are slow, answers that are never seen would make them slower: the first request of a frame goes out
    // at once, so that the next frame shows its answer, and of those after it the newest when that frame begins. That one
    // does not count as the first of its frame, or each that is asked after it would wait in its turn, for ever. What
    // repeats keeps its place behind it, as the near pairs of a pose behind the pose. A change or any other request that
    // does not repeat waits for no frame: all before it are answered at once, in their order. A pose waits for no frame
    // behind another kind: it is what a pull has come to while the next pull waits, and what the frame is to show.
    const hurried = this.waiting.some(({ message }) => !NEWEST_WINS.has(message.method) && !IN_STEPS.has(message.method));
    const free = ({ message }: Request): boolean => hurried || !this.asked.has(message.method);
    const at = this.waiting.findIndex((request, index) => free(request) && (index === 0 || request.message.method === "pose"));
    const request = this.waiting[at];
    if (!request) return;
    this.waiting.splice(at, 1);
    this.running = request;
    this.worker.postMessage(request.message);
    const { method } = request.message;
    if (NEWEST_WINS.has(method) && !request.waited) this.pause(method);
  }

  private pause(method: Method): void {
    if (this.asked.has(method)) return;
    this.asked.add(method);
    const due = (): void => {
      this.asked.delete(method);
      for (const request of this.waiting) if (request.message.method === method) request.waited = true;
      this.next();
    };
    if (document.hidden) due(); // nobody looks
    else inNextFrame(due);
  }

  private hear(message: FromWorker): void {
    if (message.kind === "progress") {
      this.tell(message.progress);
      return;
    }
    if (message.kind === "alive") {
      this.watch(message.lock);
      return;
    }
    if (message.kind === "crashed") {
      this.stop(message.reason);
      return;
    }
    const request = this.running;
    if (!request || request.message.id !== message.id) return;
    this.running = null;
    if (message.kind === "result") this.take(request, message.result);
    else this.refuse(request, message.findings);
    this.next();
  }

  /** What Python will not do it may only not do for the prop that has taken the place of the one that was asked of. */
  private refuse({ overtaken, brings, prop, reject }: Request, findings: readonly FindingView[]): void {
    if (prop !== null && (overtaken || (!brings && prop !== this.stands))) reject(new Overtaken(NOT_MADE));
    else reject(overtaken ? new Overtaken() : new Refused(findings));
  }

  private take({ brings, prop, resolve, reject }: Request, result: unknown): void {
    if (brings && prop !== null) this.stands = prop;
    if (prop === null || prop === this.stands) resolve(result as never);
    else reject(new Overtaken(NOT_MADE));
  }
}
