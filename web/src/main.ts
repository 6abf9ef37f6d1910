/** The page: first the picture, then Python, then the work that was left or the link that was opened. */

import { changedFiles, firstPicture, firstWork, openLink, openServed } from "./beginnings";
import { createNearness } from "./clearance/nearness";
import { createSurveyor } from "./clearance/surveyor";
import { findingText } from "./controls";
import { byId } from "./dom";
import { listenToDrops } from "./drops";
import { read } from "./files";
import { served } from "./first";
import { calibrationPanel } from "./panels/calibration";
import { channelsPanel } from "./panels/channels";
import { clearancePanel } from "./panels/clearance/index";
import { findingsPanel } from "./panels/findings";
import { looksPanel, takeSnapshot } from "./panels/looks";
import { openDialog } from "./panels/open";
import { motionPanel } from "./panels/motion/index";
import { createReach } from "./panels/reach";
import { saveDialog } from "./panels/save";
import { shareDialog } from "./panels/share";
import { createTabs } from "./panels/tabs";
import { keepForOffline } from "./offline";
import { createCurves } from "./motion/curves";
import { createPlayer } from "./motion/player";
import { createRehearsal } from "./motion/rehearsal";
import { openShow } from "./panels/motion/shows";
import { keepAll } from "./keeping";
import { openPeephole } from "./peephole";
import { createSession } from "./session";
import { showOnScreen } from "./screen";
import { showControls } from "./sheet";
import { createStatus } from "./status";
import { complain, complainOfAll, say } from "./toasts";
import { fillToolbar } from "./toolbar";
import { createView } from "./view/view";
import { fillViewTools } from "./viewtools";

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
const tabs = createTabs("Controls", [
  { id: "channels", title: "Channels", panel: channelsPanel(session) },
  { id: "calibration", title: "Calibration", panel: calibrationPanel(session) },
  { id: "looks", title: "Looks", panel: looksPanel(session, reach, say) },
  { id: "clearance", title: "Clearance", panel: clearancePanel(session, nearness, createSurveyor(session)) },
  { id: "motion", title: "Motion", panel: motionPanel(session, rehearsal, player, curves, view) },
  { id: "findings", title: "Findings", panel: findingsPanel(session, status.findings) },
]);
byId("panels").append(tabs.element);
fillViewTools(session, view, reach);

const save = saveDialog(session, view);
const share = shareDialog(session, async (name, files) => changedFiles(await served, name, files), () => save.showModal());
listenToDrops(openFile);
session.progress.watch(status.progress);
nearness.near.watch((near) => status.near(near?.pairs.length ?? 0));
showOnScreen(session, view);
keepAll(session, status.saved);
openPeephole(session, view, player, curves);
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
    say([`${opened.name} taken.`, ...findings.map(findingText)].join("\n"));
  }
}
