/** What draws by WebGL, if the browser has it, and whether that is a graphics card or a program on the processor. */

import { PCFShadowMap, WebGLRenderer } from "three";

export interface Graphics {
  /** Null where the browser gives no WebGL. */
  readonly webgl: WebGLRenderer | null;
  readonly byProgram: boolean;
}

/** Only a card smooths edges by samples: for a program more pixels are quicker. */
export function createWebGL(): Graphics {
  try {
    const plain = contextOf(false);
    if (!plain) return { webgl: null, byProgram: true };
    if (isProgram(plain)) return { webgl: rendererOf(plain, false), byProgram: true };
    plain.getExtension("WEBGL_lose_context")?.loseContext();
    const smooth = contextOf(true);
    return { webgl: smooth && rendererOf(smooth, true), byProgram: !smooth };
  } catch {
    return { webgl: null, byProgram: true };
  }
}

function contextOf(antialias: boolean): WebGL2RenderingContext | null {
  const canvas = document.createElement("canvas");
  return canvas.getContext("webgl2", { alpha: true, depth: true, antialias, premultipliedAlpha: true, powerPreference: "default" });
}

function isProgram(gl: WebGL2RenderingContext): boolean {
  const asked = gl.getExtension("WEBGL_debug_renderer_info");
  const name = String(gl.getParameter(asked?.UNMASKED_RENDERER_WEBGL ?? gl.RENDERER) ?? "");
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

function rendererOf(context: WebGL2RenderingContext, antialias: boolean): WebGLRenderer {
  const renderer = new WebGLRenderer({ canvas: context.canvas as HTMLCanvasElement, context, antialias });
  renderer.debug.checkShaderErrors = false; // asking waits for every shader, one after the other
  renderer.shadowMap.enabled = true;
  renderer.shadowMap.type = PCFShadowMap;
  return renderer;
}
