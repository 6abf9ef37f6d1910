/** The page: first the picture, then Python, then the work that was left or the link that was opened. */

import { computed, signal } from "@preact/signals";
import { render } from "preact";
import { createBench, openPanel } from "./bench";
import { openDebugDoor } from "./debug";
import { DifferenceDialog } from "./dialogs/difference";
import { GuideDialog } from "./dialogs/guide";
import { ask, Questions } from "./dialogs/ask";
import { ByHand } from "./dialogs/by-hand";
import { createBegin } from "./dialogs/begin/begin";
import { BeginDialog } from "./dialogs/begin/begin-dialog";
import { OpenDialog } from "./dialogs/open";
import { SaveDialog } from "./dialogs/save";
import { ShareDialog } from "./dialogs/share";
import { DrawerButton } from "./frame/drawer";
import { listenToDrops } from "./frame/drops";
import { Onlooker } from "./frame/onlooker";
import { Status } from "./frame/status";
import { ShutFolder, WrongOnDisk } from "./frame/on-disk";
import { keepPanel, Tabs } from "./frame/tabs";
import { Toolbar } from "./frame/toolbar";
import { ViewTools } from "./frame/view-tools";
import { takeSnapshot } from "./panels/looks/snapshots";
import { Dock } from "./panels/motion/dock";
import { keepShow } from "./panels/motion/shows";
import { byId } from "./ui/browser";
import { complain, complainOfAll, complainUnasked, say, tellChanged, Toasts } from "./ui/toasts";
import { showOnScreen } from "./view/follow";
import { takeOver } from "./view/still/take-over";
import { keepAll } from "./work/autosave";
import { copyBench, dropUnchanged, freeBenches, goTo, takePlace } from "./work/benches";
import { catalogue, type Served } from "./work/catalogue";
import { phone } from "./work/doors";
import { ofFolder, type Opened, recognised } from "./work/files";
import { front, storage, served } from "./work/first-picture";
import { createFolder } from "./work/folder";
import { bytesOf, type Came } from "./work/folders";
import { createIncoming } from "./work/incoming";
import { createJournal } from "./work/journal";
import { carriesPose } from "./work/links";
import { keepForOffline } from "./work/offline";
import { changedFiles, firstPicture, firstWork, type Host, openLink, openServed, takeUp } from "./work/opening";

complainOfAll();
const inFront = await front;
const place = await takePlace(storage, inFront, carriesPose(location.hash));
const journal = createJournal(place.id);
const bench = createBench(byId("view"), place, journal, (file) => incoming.take(file));
const { session, view, rehearsal } = bench;
keepPanel(bench, place.id, carriesPose(location.hash));
const autosave = keepAll(session, place, journal, storage);
const folder = createFolder(session, place, storage, {
  failed: complain,
  say,
  takesDisk: (title, files) =>
    ask({
      title: `${title} has changed on disk`,
      words: `You have changes here that are not saved into the folder. On disk these files changed: ${files.join(", ")}. Undo brings back whichever you do not take.`,
      yes: "Take the one on disk",
      no: "Stay with mine",
    }),
  takesFolder: (name) =>
    ask({
      title: `${name} holds a prop already`,
      words: "Saving this prop there changes its files. First you see what changes; files that this prop does not have stay as they are.",
      yes: "Show what would change",
      no: "Leave it alone",
    }),
  makesFolder: (name, within) =>
    ask({
      title: `Make a folder ${name}?`,
      words: `${within} holds other things. A folder ${name} in it keeps the files of this prop together.`,
      yes: `Make ${name} in ${within}`,
      no: "Not here",
    }),
});
const incoming = createIncoming(place, storage, autosave, session.progress, take);
// A change that could not be written down is not kept until Python has made it.
const saved = computed(() => (session.unwritten.value > 0 && autosave.state.value === "saved" ? "saving" : autosave.state.value));
const waiting = computed(() => session.changes.value + incoming.waiting.value);
const starting = computed(() => ["starting", "loading", "preparing"].includes(session.progress.value.stage));
const props = signal<readonly Served[]>([]);
const begin = createBegin(session);
const [opening, saving, comparing, sharing, guiding] = [signal(false), signal(false), signal(false), signal(false), signal(false)];
const show = (dialog: typeof opening) => () => void (dialog.value = true);

render(<Toasts />, byId("toasts"));
render(<Toolbar session={session} begin={begin.show} open={show(opening)} save={show(saving)} share={show(sharing)} guide={show(guiding)} />, byId("actions"));
render(<ViewTools bench={bench} />, byId("view-tools"));
render(<Bars />, byId("onlooker"));
render(<Status bench={bench} saved={saved} waiting={waiting} unsaved={folder.unsaved} compare={show(comparing)} />, byId("status"));
render(<Dock bench={bench} />, byId("dock"));
render(<Tabs bench={bench} />, byId("panels"));
render(<DrawerButton open={bench.controls} />, byId("drawer"));
render(<Dialogs />, byId("dialogs"));

listenToDrops(openAll, complain);
showOnScreen(session, view);
openDebugDoor(bench);
place.onKept(() => void takeUp(session, place, journal, storage).catch(complainUnasked));
place.onHandOver(async () => {
  await autosave.flush();
  session.letGo();
});

const host: Host = {
  failed: complain,
  told: tellChanged,
  say,
  takesServed: (title) =>
    ask({
      title: `${title} has changed where it is served`,
      words: "You changed it here, too. Taking the new one puts it on top of yours: undo brings yours back.",
      yes: "Take the new one",
      no: "Stay with mine",
    }),
};
void start().catch(complainUnasked);

function Bars() {
  return (
    <>
      <Onlooker place={place} copy={() => void copyBench(storage, place.id).then(go).catch(complain)} />
      <WrongOnDisk folder={folder} />
      <ShutFolder folder={folder} failed={complain} />
    </>
  );
}

function go(id: string): void {
  goTo(inFront, id);
}

/** What the site serves by now: a prop on disk may have changed since the page came. */
async function nowServed(): Promise<readonly Served[]> {
  return (props.value = await catalogue().catch(() => props.value));
}

async function openAnew({ name, ...rest }: Served): Promise<void> {
  const now = (await nowServed()).find((each) => each.name === name);
  tellChanged(await openServed(session, now ?? { name, ...rest }));
}

function Dialogs() {
  return (
    <>
      <OpenDialog
        open={opening}
        served={props.value}
        kept={() => freeBenches(storage)}
        openAll={openAll}
        begin={begin.show}
        openServed={(prop) => void openAnew(prop).catch(complain)}
        goTo={(id) => void autosave.flush().then(() => go(id))}
      />
      <BeginDialog
        begin={begin}
        openAll={openAll}
        made={(name) => {
          openPanel(bench, "parts");
          say(`${name} begun. Undo brings back what was there.`);
        }}
      />
      <SaveDialog open={saving} session={session} view={view} folder={folder} compare={show(comparing)} />
      <DifferenceDialog open={comparing} folder={folder} />
      <ShareDialog
        open={sharing}
        session={session}
        changed={async (name, files) => changedFiles(await nowServed(), name, files)}
        offerFile={show(saving)}
        phone={async () => (inFront ? phone() : null)}
      />
      <GuideDialog open={guiding} />
      <Questions />
      <ByHand />
    </>
  );
}

async function start(): Promise<void> {
  const tried = firstPicture(view).catch(complain);
  takeOver(view, tried, starting); // before the list of props is here: a prop may be dropped first
  props.value = await served.catch((problem: unknown) => {
    complain(problem, "The props of this site cannot be listed");
    return [];
  });
  await tried;
  document.documentElement.dataset["picture"] = "first";
  addEventListener("hashchange", () => void nowServed().then((now) => openLink(session, now, host)).catch(complain));
  let edits = await stand();
  place.mine.subscribe((mine) => {
    if (mine && !edits) void stand();
    edits = mine;
  });
  if (place.beside) say("Your other work is open in another tab. This one has a bench of its own.");
  void folder.follow(inFront !== "");
  await dropUnchanged(storage, inFront).catch(() => undefined); // the next visit may have more luck
  // Only now, so that keeping files for later takes nothing from the first visit.
  await keepForOffline(() => (document.documentElement.dataset["offline"] = "kept"));
}

/** Take up the work of this place; answers whether this tab edits it. */
async function stand(): Promise<boolean> {
  const edits = place.mine.value;
  await firstWork(session, place, journal, storage, props.value, host).catch(complainUnasked);
  if (edits) await incoming.resume(cannotBeOpened);
  return edits;
}

/** Files that came together: one is what it is, several are parts, or the folder of a prop. */
function openAll(came: readonly Came[]): void {
  const [first] = came;
  if (!first) return;
  const alone = came.length === 1 && !first.path.includes("/");
  const name = first.path.includes("/") ? (first.path.split("/")[0] ?? "") : (first.file.name.replace(/\.[^.]*$/, "") || "prop");
  const called = came.some(({ path }) => path.includes("/")) ? "folder" : "files";
  const taken = alone ? incoming.take(first.file) : bytesOf(came).then((files) => put(ofFolder(files, name, called)));
  taken.catch((problem: unknown) => cannotBeOpened(problem, alone ? first.file.name : `These ${came.length} files`));
}

function cannotBeOpened(problem: unknown, name: string): void {
  complain(problem, `${name} cannot be opened`);
}

async function take(name: string, data: Uint8Array<ArrayBuffer>): Promise<void> {
  await put(recognised(name, data));
}

async function put(opened: Opened): Promise<void> {
  if (opened.kind !== "parts") begin.open.value = false;
  if (opened.kind === "parts") await begin.bring(opened.name, opened.files, opened.left);
  else if (opened.kind === "folder") await session.open(opened.name, opened.files);
  else if (opened.kind === "glb") await session.openGlb(opened.name, opened.glb);
  else if (opened.kind === "notes") {
    say(await bench.noted.take(opened.text, opened.name));
    openPanel(bench, "notes");
  } else if (opened.kind === "show") {
    await rehearsal.open(opened.name, opened.data);
    openPanel(bench, "motion"); // as soon as it shows: who goes elsewhere while it is kept is not brought back
    await keepShow(session, rehearsal, opened.name, opened.data);
  } else {
    const findings = await takeSnapshot(session, opened.data, opened.name);
    say([`${opened.name} taken.`, ...findings.map(({ text }) => text)].join("\n"));
  }
}
