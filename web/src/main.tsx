/** The page: first the picture, then Python, then the work that was left or the link that was opened. */

import { signal } from "@preact/signals";
import { render } from "preact";
import { createBench, openPanel } from "./bench";
import { openDebugDoor } from "./debug";
import { GuideDialog } from "./dialogs/guide";
import { OpenDialog } from "./dialogs/open";
import { SaveDialog } from "./dialogs/save";
import { ShareDialog } from "./dialogs/share";
import { DrawerButton } from "./frame/drawer";
import { listenToDrops } from "./frame/drops";
import { Status } from "./frame/status";
import { Tabs } from "./frame/tabs";
import { Toolbar } from "./frame/toolbar";
import { ViewTools } from "./frame/view-tools";
import { takeSnapshot } from "./panels/looks/snapshots";
import { Dock } from "./panels/motion/dock";
import { openShow } from "./panels/motion/shows";
import { byId } from "./ui/browser";
import { complain, complainOfAll, say, Toasts } from "./ui/toasts";
import { showOnScreen } from "./view/follow";
import { keepAll } from "./work/autosave";
import type { Served } from "./work/catalogue";
import { read } from "./work/files";
import { served } from "./work/first-picture";
import { keepForOffline } from "./work/offline";
import { changedFiles, firstPicture, firstWork, openLink, openServed } from "./work/opening";
import type { Saved } from "./work/storage";

complainOfAll();
const bench = createBench(byId("view"));
const { session, view, rehearsal } = bench;
const saved = signal<Saved | null>(null);
const props = signal<readonly Served[]>([]);
const [opening, saving, sharing, guiding] = [signal(false), signal(false), signal(false), signal(false)];
const show = (dialog: typeof opening) => () => void (dialog.value = true);

render(<Toasts />, byId("toasts"));
render(<Toolbar session={session} open={show(opening)} save={show(saving)} share={show(sharing)} guide={show(guiding)} />, byId("actions"));
render(<ViewTools bench={bench} />, byId("view-tools"));
render(<Status bench={bench} saved={saved} />, byId("status"));
render(<Dock bench={bench} />, byId("dock"));
render(<Tabs bench={bench} />, byId("panels"));
render(<DrawerButton open={bench.controls} />, byId("drawer"));
render(<Dialogs />, byId("dialogs"));

listenToDrops(openFile);
showOnScreen(session, view);
keepAll(session, (state) => (saved.value = state));
openDebugDoor(session, view, bench.player, bench.curves);
void start().catch(complain);

function Dialogs() {
  return (
    <>
      <OpenDialog open={opening} served={props.value} openFile={openFile} openServed={(prop) => void openServed(session, prop).catch(complain)} />
      <SaveDialog open={saving} session={session} view={view} />
      <ShareDialog
        open={sharing}
        session={session}
        changed={async (name, files) => changedFiles(await served, name, files)}
        offerFile={show(saving)}
      />
      <GuideDialog open={guiding} />
    </>
  );
}

async function start(): Promise<void> {
  props.value = await served;
  await firstPicture(view).catch(complain);
  document.documentElement.dataset["picture"] = "first";
  addEventListener("hashchange", () => void openLink(session, props.value).catch(complain));
  await firstWork(session, props.value);
  // Only now, so that keeping files for later takes nothing from the first visit.
  await keepForOffline(() => (document.documentElement.dataset["offline"] = "kept"));
}

function openFile(file: File): void {
  take(file).catch((problem: unknown) => complain(problem, `${file.name} cannot be opened`));
}

async function take(file: File): Promise<void> {
  const opened = await read(file);
  if (opened.kind === "folder") await session.open(opened.name, opened.files);
  else if (opened.kind === "glb") await session.openGlb(opened.name, opened.glb);
  else if (opened.kind === "show") {
    await openShow(session, rehearsal, opened.name, opened.data);
    openPanel(bench, "motion");
  } else {
    const findings = await takeSnapshot(session, opened.data, opened.name);
    say([`${opened.name} taken.`, ...findings.map(({ text }) => text)].join("\n"));
  }
}
