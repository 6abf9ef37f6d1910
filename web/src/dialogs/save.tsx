/** Save: prop file, prop folder, GLB and picture, each one press. */

import { type Signal, useSignal } from "@preact/signals";
import { download } from "../ui/browser";
import { Button } from "../ui/button";
import { Dialog } from "../ui/dialog";
import { Field, Typed } from "../ui/field";
import { complain } from "../ui/toasts";
import { drawnAsItStands } from "../view/follow";
import type { View } from "../view/view";
import { pack } from "../work/files";
import type { Folder } from "../work/folder";
import { reach } from "../work/reach";
import type { Session } from "../work/session";
import { captioned } from "./picture";

interface SaveDialogProps {
  readonly open: Signal<boolean>;
  readonly session: Session;
  readonly view: View;
  readonly folder: Folder;
  /** Show what saving into the folder would change. */
  readonly compare: () => void;
}

export function SaveDialog({ open, compare, folder, ...rest }: SaveDialogProps) {
  return (
    <Dialog title="Save" open={open}>
      <IntoFolder
        folder={folder}
        compare={() => {
          open.value = false;
          compare();
        }}
      />
      <Choices key={rest.session.opened.value} {...rest} />
    </Dialog>
  );
}

/** The folder on disk that the work is of; if there is none, one of the builder's choosing, or why that cannot be. */
function IntoFolder({ folder, compare }: Pick<SaveDialogProps, "folder" | "compare">) {
  const disk = folder.onDisk.value;
  const why = whyNot(folder);
  if (disk && !why) return <Choice name={`Into the folder ${disk.name}`} hint="on this machine; first you see what changes" press={compare} />;
  const choose = (): void => void folder.choose().then((chosen) => chosen && compare(), complain);
  return (
    <>
      {why && <p class="quiet">{why}</p>}
      {folder.canPick ? (
        <Choice name="Into a folder you choose" hint="page and folder follow each other from then on; first you see what changes" press={choose} />
      ) : (
        <p class="quiet">
          This browser cannot write into a folder; Chrome and Edge can. Elsewhere save the zip, unpack it and run posekit show on it: then page
          and folder follow each other, too.
        </p>
      )}
    </>
  );
}

function whyNot({ onDisk, isOfIt }: Folder): string {
  const disk = onDisk.value;
  if (!disk) return "";
  if (disk.read_only) return `${disk.name} ${disk.read_only}. Below it can be saved as a file.`;
  if (!isOfIt.value) return `This prop did not come from the folder ${disk.name}, so it is not saved there.`;
  if (disk.may_save) return "";
  if (reach() !== "machine") return `Here you can look at the folder ${disk.name} and not save into it: that is done at the machine that shows it.`;
  return `This page can look at the folder ${disk.name} and not save into it: run posekit show again, and use the page that it opens.`;
}

function Choices({ session, view }: Pick<SaveDialogProps, "session" | "view">) {
  const caption = useSignal<string | null>(null); // as typed; until then the name of the prop, which may be on its way
  const words = (): string => caption.value ?? session.prop.value?.name ?? "";
  const { folder, files } = session.history.work();
  const name = folder || "prop";

  async function saveGlb(): Promise<void> {
    const file = await session.make("glb", { values: session.values() });
    download(file.name, file.data, file.type);
  }

  async function savePicture(): Promise<void> {
    await drawnAsItStands(session, view); // a prop that has just come has its name at once, and its figure later
    download(`${name}.png`, await captioned(view.stage.picture(), words()), "image/png");
  }

  return (
    <>
      <div class="choices">
        <Choice name="Prop file" hint="prop.toml as text, your comments kept" press={() => download("prop.toml", files["prop.toml"] ?? "", "application/toml")} />
        <Choice name="Prop folder" hint="zip with meshes and looks" press={() => download(`${name}.zip`, pack(name, files), "application/zip")} />
        <Choice name="GLB of this pose" hint="for any 3D viewer; posekit can open it again" press={() => void saveGlb().catch(complain)} />
      </div>
      <Field label="Caption of the picture">
        {(named) => <Typed {...named} value={words()} typing={(text) => (caption.value = text)} commit={() => undefined} />}
      </Field>
      <div class="row">
        <Button icon="picture" words="Save picture (PNG)" kind="main" onClick={() => void savePicture().catch(complain)} />
      </div>
    </>
  );
}

function Choice({ name, hint, press }: { name: string; hint: string; press: () => void }) {
  return (
    <button type="button" class="choice-card" onClick={press}>
      <strong>{name}</strong>
      <span class="quiet">{hint}</span>
    </button>
  );
}
