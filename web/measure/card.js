// Runs in the page before its own code, in a browser with the flags CARD of common.py: what draws is told to be a graphics
// card, so that the page asks for all that it asks a card for.
{
  const { getParameter } = WebGL2RenderingContext.prototype;
  WebGL2RenderingContext.prototype.getParameter = function (name) {
    const found = getParameter.call(this, name);
    return /swiftshader/i.test(found) ? "a card that draws nothing" : found;
  };
}
