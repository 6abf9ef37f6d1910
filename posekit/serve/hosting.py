"""What a web host may say about the files of a site: the headers of `posekit show`, as a page to set them by."""

from __future__ import annotations

from posekit.bridge.site_entry import INDEX
from posekit.serve.headers import ANEW, FOREVER, HASHED, HEADERS, TYPES
from posekit.serve.smaller import BROTLI, GZIP

HOSTING = "HOSTING.md"
MISSING = "404.html"  # many hosts send it by this name
CODINGS = (("br", BROTLI), ("gzip", GZIP))


NOTHING_HERE = """<!doctype html>
<html lang="en">
  <head>
    <meta charset="utf-8" />
    <meta name="viewport" content="width=device-width, initial-scale=1" />
    <meta name="color-scheme" content="light dark" />
    <title>Nothing here</title>
  </head>
  <body>
    <h1>There is nothing at this address</h1>
    <p>The link may be cut short, or the site has been rebuilt since. Ask whoever gave you the link.</p>
  </body>
</html>
"""


def hosting() -> str:
    """The page of headers, as Markdown."""
    folders = ", ".join(f"`{folder}`" for folder in HASHED)
    paragraphs = (
        "# Headers for this site",
        "The site works from any folder of any web host, also where none of this can be set: its addresses are "
        "relative, and the page carries its policy itself. What can be set beside it:",
        _table(
            ("for", "header", "value"),
            [
                *(("every file", name, value) for name, value in HEADERS.items()),
                (f"files in {folders} but `{INDEX}`", "Cache-Control", FOREVER),
                ("every other file", "Cache-Control", ANEW),
            ],
        ),
        "Set these headers anew with each new posekit: the policy names a script of its page by its hash, and under "
        "that of an older posekit the browser does not run it.",
        f"Names in {folders} carry a hash of what is in the file, so that what a browser has under such a name is "
        f"right for good. All others, `{INDEX}` and `service-worker.js` before all, are to be asked for anew each "
        "time. Over plain http a browser keeps nothing for visits without a network; over https it does.",
        "A browser takes scripts and WebAssembly only under their registered types:",
        _table(("ending", "Content-Type"), [(f"`{ending}`", kind) for ending, kind in TYPES.items()]),
        "Most files lie there in fewer bytes, too: `NAME.br` by brotli, `NAME.gz` by gzip. A host that sends those to "
        "browsers that take them, with the type of `NAME`, `Content-Encoding: br` or `gzip` and "
        "`Vary: Accept-Encoding`, sends a third of the bytes for a first visit. Where a host compresses by itself, let "
        "it do so for `.zip` and `.wasm` as well: the archives of the page are not compressed inside.",
        f"`{MISSING}` is for what is not there. A host that has none may answer with the page itself, under any "
        "address: then an open page of an earlier site gets that for a script that is gone.",
        "## A file `_headers`",
        "At the root of a host that reads one. Where the site lies in a folder, its path goes before each of these.",
        _block(_headers_file()),
        "## nginx",
        "The first part belongs into `http`, the second into `server`, with the path of the site for `/figures/`. "
        "`gzip_static` is a module that packages of nginx hold; one for brotli is its own, with `brotli_static on;`.",
        _block(_nginx()),
        "## Apache",
        "As `.htaccess` in the folder of the site, with `mod_headers`, `mod_rewrite` and `AllowOverride FileInfo "
        "Options=FollowSymLinks`.",
        _block(_htaccess()),
    )
    return "\n\n".join(paragraphs) + "\n"


def _table(columns: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    lines = [columns, tuple("---" for _ in columns), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _block(lines: list[str]) -> str:
    return "\n".join(["```", *lines, "```"])


def _headers_file() -> list[str]:
    anew = ("/", "/index.html", "/offline.json", "/service-worker.js")
    return [
        "/*",
        *(f"  {name}: {value}" for name, value in HEADERS.items()),
        # Of the folders with a hash in each name; not of props/, whose list is asked for anew.
        *(line for folder in _all_hashed() for line in (f"/{folder}*", f"  Cache-Control: {FOREVER}")),
        *(line for path in (*anew, f"/{INDEX}") for line in (path, f"  Cache-Control: {ANEW}")),
    ]


def _nginx() -> list[str]:
    return [
        "map $uri $posekit_kept {",
        f'    default "{ANEW}";',
        f'    ~/({"|".join(folder.rstrip("/") for folder in _all_hashed())})/ "{FOREVER}";',
        "}",
        "",
        "location /figures/ {",
        *(f'    add_header {name} "{value}" always;' for name, value in HEADERS.items()),
        "    add_header Cache-Control $posekit_kept always;",
        "    gzip_static on;",
        "    gzip_vary on;",
        "}",
    ]


def _htaccess() -> list[str]:
    by_kind = [("text/javascript", ".js .mjs"), ("application/wasm", ".wasm"), ("model/gltf-binary", ".glb")]
    return [
        *(f"AddType {kind} {endings}" for kind, endings in by_kind),
        *(f'Header always set {name} "{value}"' for name, value in HEADERS.items()),
        f'Header set Cache-Control "{ANEW}"',
        f'<If "%{{REQUEST_URI}} =~ m#/({"|".join(folder.rstrip("/") for folder in _all_hashed())})/#">',
        f'    Header set Cache-Control "{FOREVER}"',
        "</If>",
        "Header merge Vary Accept-Encoding",
        "RewriteEngine On",
        *(line for coding in CODINGS for line in _by_apache(*coding)),
    ]


def _by_apache(name: str, ending: str) -> list[str]:
    """How a file goes out in one coding; as Apache's own page on precompressed content has it."""
    types = [(kind, plain.removeprefix(".")) for plain, kind in TYPES.items()]
    return [
        f'RewriteCond "%{{HTTP:Accept-Encoding}}" "\\b{name}\\b"',
        f'RewriteCond "%{{REQUEST_FILENAME}}{ending}" "-s"',
        f'RewriteRule "^(.+)$" "$1{ending}" [QSA]',
        *(
            f'RewriteRule "\\.{plain}\\{ending}$" "-" "[T={kind},E=no-gzip:1,E=no-brotli:1]"'
            for kind, plain in types
        ),
        f'<FilesMatch "\\{ending}$">',
        f"    Header set Content-Encoding {name}",
        "</FilesMatch>",
    ]


def _all_hashed() -> list[str]:
    """The folders in which every name carries a hash."""
    return [folder for folder in HASHED if not INDEX.startswith(folder)]
