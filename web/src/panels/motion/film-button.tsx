/** Records the view from here until the show ends, or until it is pressed again. */

import { useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { download } from "../../ui/browser";
import { Button } from "../../ui/button";
import { complain, say } from "../../ui/toasts";
import type { View } from "../../view/view";
import { type Film, startFilm, whyNoFilm } from "./film";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";

export function FilmButton({ rehearsal, player, view }: { rehearsal: Rehearsal; player: Player; view: View }) {
  const film = useSignal<Film | null>(null);
  const name = useRef("show"); // of what is filmed
  const reason = whyNoFilm();

  function begin(): void {
    player.loop.value = false;
    name.current = rehearsal.show.value?.name ?? "show";
    view.stage.steady(true);
    film.value = startFilm(view.stage.canvas);
    say("Filming until the show ends, or until you press Film again.");
    player.play();
  }

  function end(): void {
    const done = film.peek();
    if (!done) return;
    film.value = null;
    view.stage.steady(false);
    done.stop().then((file) => download(`${name.current}.webm`, file, "video/webm"), complain);
  }

  useSignalEffect(() => void (player.playing.value || end()));
  useEffect(() => end, []); // a show that is closed, or that another prop ends, takes this button along before it hears of it

  return (
    <Button
      icon="film"
      name={reason ?? "Film this view while it plays (WebM)"}
      short="film"
      aria-pressed={film.value !== null}
      disabled={reason !== null}
      onClick={() => (film.value ? player.pause() : begin())}
    />
  );
}
