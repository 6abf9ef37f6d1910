/** An outline around parts: their own surface, pushed outwards on the screen and drawn from behind. */

import { BackSide, Color, Mesh, type Object3D, ShaderMaterial } from "three";

export type Stroke = "solid" | "dashed";

const WIDTH = 0.006; // of half the height of the view

const VERTEX = /* glsl */ `
  uniform float width;
  void main() {
    vec4 place = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
    vec4 away = projectionMatrix * vec4(normalize(normalMatrix * normal), 0.0);
    float aspect = projectionMatrix[1][1] / projectionMatrix[0][0];
    vec2 way = normalize(away.xy * vec2(aspect, 1.0) + 1e-6);
    place.xy += way / vec2(aspect, 1.0) * width * place.w;
    gl_Position = place;
  }
`;

const FRAGMENT = /* glsl */ `
  uniform vec3 colour;
  uniform float dash;
  void main() {
    if (dash > 0.0 && mod(gl_FragCoord.x + gl_FragCoord.y, dash) < dash * 0.45) discard;
    gl_FragColor = vec4(colour, 1.0);
    #include <colorspace_fragment>
  }
`;

export interface Outline {
  remove(): void;
}

/** Outline all meshes under `node`. A dashed one can be told from a solid one without its colour. */
export function outline(node: Object3D, stroke: Stroke, colour: string): Outline {
  const material = new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: BackSide,
    uniforms: {
      width: { value: WIDTH },
      colour: { value: new Color(colour) },
      dash: { value: stroke === "dashed" ? 12 : 0 },
    },
  });
  // The prop itself throws shadows; what is drawn on top of it does not.
  const meshes: Mesh[] = [];
  node.traverse((part) => void (part instanceof Mesh && part.castShadow && meshes.push(part)));
  const strokes = meshes.map((mesh) => {
    const drawn = new Mesh(mesh.geometry, material);
    drawn.raycast = () => undefined;
    mesh.add(drawn);
    return drawn;
  });
  return {
    remove() {
      for (const drawn of strokes) drawn.removeFromParent();
      material.dispose();
    },
  };
}
