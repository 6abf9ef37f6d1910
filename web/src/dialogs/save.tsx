/** Save: prop file, prop folder, GLB and picture, each one press. */

import { type Signal, useSignal } from "@preact/signals";
import { download } from "../ui/browser";
import { Button } from "../ui/button";
import { Dialog } from "../ui/dialog";
import { Field, Typed } from "../ui/field";
import { complain } from "../ui/toasts";
import type { View } from "../view/view";
import { pack } from "../work/files";
import type { Session } from "../work/session";
import { captioned } from "./picture";

export function SaveDialog({ open, session, view }: { open: Signal<boolean>; session: Session; view: View }) {
  return (
    <Dialog title="Save" open={open}>
      <Choices session={session} view={view} />
    </Dialog>
  );
}

function Choices({ session, view }: { session: Session; view: View }) {
  const caption = useSignal(session.prop.peek()?.name ?? "");
  const { folder, files } = session.history.work();
  const name = folder || "prop";

  async function saveGlb(): Promise<void> {
    const file = await session.engine.ask("glb", { values: session.values() });
    download(file.name, file.data, file.type);
  }

  async function savePicture(): Promise<void> {
    download(`${name}.png`, await captioned(view.stage.picture(), caption.value), "image/png");
  }

  return (
    <>
      <div class="choices">
        <Choice name="Prop file" hint="prop.toml as text, your comments kept" press={() => download("prop.toml", files["prop.toml"] ?? "", "application/toml")} />
        <Choice name="Prop folder" hint="zip with meshes and looks" press={() => download(`${name}.zip`, pack(name, files), "application/zip")} />
        <Choice name="GLB of this pose" hint="for any 3D viewer; posekit can open it again" press={() => void saveGlb().catch(complain)} />
      </div>
      <Field label="Caption of the picture">
        {(named) => <Typed {...named} value={caption.value} typing={(text) => (caption.value = text)} commit={() => undefined} />}
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
