/** The page: first the picture, then Python, then the work that was left or the link that was opened. */

import { changedFiles, firstPicture, firstWork, openLink, openServed } from "./work/opening";
import { createNearness } from "./panels/clearance/nearness";
import { createSurveyor } from "./panels/clearance/surveyor";
import { byId } from "./ui/dom";
import { listenToDrops } from "./frame/drops";
import { read } from "./work/files";
import { served } from "./work/first-picture";
import { calibrationPanel } from "./panels/calibration/calibration";
import { channelsPanel } from "./panels/channels/channels";
import { clearancePanel } from "./panels/clearance/clearance";
import { findingsPanel } from "./panels/findings/findings";
import { looksPanel, takeSnapshot } from "./panels/looks/looks";
import { openDialog } from "./dialogs/open";
import { motionPanel } from "./panels/motion/motion";
import { createReach } from "./panels/looks/reach";
import { saveDialog } from "./dialogs/save";
import { shareDialog } from "./dialogs/share";
import { createTabs } from "./frame/tabs";
import { keepForOffline } from "./work/offline";
import { createCurves } from "./panels/motion/curves";
import { createPlayer } from "./panels/motion/player";
import { createRehearsal } from "./panels/motion/rehearsal";
import { openShow } from "./panels/motion/shows";
import { keepAll } from "./work/autosave";
import { openDebugDoor } from "./debug";
import { createSession } from "./work/session";
import { showOnScreen } from "./view/follow";
import { showControls } from "./frame/drawer";
import { createStatus } from "./frame/status";
import { complain, complainOfAll, say } from "./ui/toasts";
import { fillToolbar } from "./frame/toolbar";
import { createView } from "./view/view";
import { fillViewTools } from "./view/tools";

complainOfAll();
const session = createSession(complain);
const view = createView(byId("view"));
const reach = createReach(session);
const nearness = createNearness(session, view, complain);
const rehearsal = createRehearsal(session, complain);
const player = createPlayer(session, rehearsal, view, complain);
const curves = createCurves(session, rehearsal, player, complain);
const status = createStatus(() => session.restart().catch(complain), (panel) => {
  tabs.open.set(panel);
  showControls(true);
});
const findings = findingsPanel(session, nearness, status.findings, complain);
const tabs = createTabs("Controls", [
  { id: "channels", title: "Channels", panel: channelsPanel(session) },
  { id: "calibration", title: "Calibration", panel: calibrationPanel(session) },
  { id: "looks", title: "Looks", panel: looksPanel(session, reach, say) },
  { id: "clearance", title: "Clearance", panel: clearancePanel(session, nearness, createSurveyor(session)) },
  { id: "motion", title: "Motion", panel: motionPanel(session, rehearsal, player, curves, view) },
  { id: "findings", title: "Findings", panel: findings.element },
]);
tabs.open.watch((id) => findings.open(id === "findings"));
byId("panels").append(tabs.element);
fillViewTools(session, view, reach);

const save = saveDialog(session, view);
const share = shareDialog(session, async (name, files) => changedFiles(await served, name, files), () => save.showModal());
listenToDrops(openFile);
session.progress.watch(status.progress);
nearness.near.watch((near) => status.near(near?.pairs.length ?? 0));
showOnScreen(session, view);
keepAll(session, status.saved);
openDebugDoor(session, view, player, curves);
void start().catch(complain);

async function start(): Promise<void> {
  const props = await served;
  const open = openDialog(props, openFile, (prop) => void openServed(session, prop).catch(complain));
  fillToolbar(session, {
    open: () => open.showModal(),
    save: () => save.showModal(),
    share: () => void share.open().catch(complain),
  });
  await firstPicture(view).catch(complain);
  document.documentElement.dataset["picture"] = "first";
  addEventListener("hashchange", () => void openLink(session, props).catch(complain));
  await firstWork(session, props);
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
    tabs.open.set("motion");
    showControls(true);
  } else {
    const findings = await takeSnapshot(session, opened.data, opened.name);
    say([`${opened.name} taken.`, ...findings.map((finding) => finding.text)].join("\n"));
  }
}
