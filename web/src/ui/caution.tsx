/** The usual caution. Read once and folded, it stays one line. */


export function Caution() {
  return (
    <p class="caution">
      <strong>Mind your fingers. </strong>
      What moves here pinches there: keep hands and hair out of the prop, take the supply off before reaching in, and try new end points
      slowly. A servo held against a stop overheats. Follow your local codes; mains and lifting gear are for licensed people.
    </p>
  );
}
