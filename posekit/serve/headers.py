"""What every answer says about itself, whether it is a file or an error."""

from __future__ import annotations

from posekit.bridge.site_entry import INDEX

BEFORE_PAINT = "'sha256-02riqO5RX8JK6PdUXW9AzBM3il5E4PBAw8+tzLPQRn8='"  # the script in web/index.html
# Nothing from another host, no script in the markup but the one before the first paint; WebAssembly is what Python is
# made of here. Pictures and downloads are made in the page, so blob: is its own. The page's own markup says the
# same, for static hosts.
POLICY = "; ".join(
    (
        "default-src 'none'",
        f"script-src 'self' {BEFORE_PAINT} 'wasm-unsafe-eval'",
        "worker-src 'self'",
        "connect-src 'self' blob:",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "manifest-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
    )
)
# Features of the machine that the page has no use for. To copy a snapshot and to fill the screen it may.
UNUSED = (
    "accelerometer", "autoplay", "camera", "display-capture", "geolocation", "gyroscope", "hid", "magnetometer",
    "microphone", "midi", "payment", "publickey-credentials-get", "screen-wake-lock", "serial", "usb",
    "xr-spatial-tracking",
)  # fmt: skip
HEADERS = {
    "Content-Security-Policy": f"{POLICY}; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": ", ".join(f"{feature}=()" for feature in UNUSED),
}
# Of the page's files alone. A system's own table may say otherwise, and a browser takes no module
# script and no streamed WebAssembly under a wrong type.
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webp": "image/webp",
    ".wasm": "application/wasm",
    ".txt": "text/plain; charset=utf-8",
    ".zip": "application/zip",
    ".glb": "model/gltf-binary",
}
# Names in these folders carry a hash of the content, so that what is kept of them is right for good. All others,
# and whatever is no file, are asked for anew each time: the server's word wins whenever it can be reached.
HASHED = ("assets/", "runtime/", "props/")
FOREVER, ANEW, NEVER = "public, max-age=31536000, immutable", "no-cache", "no-store"


def kept(address: str) -> str:
    """How long a browser may keep the file at an address: the value of Cache-Control."""
    return FOREVER if address.startswith(HASHED) and address != INDEX else ANEW
