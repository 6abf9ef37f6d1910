"""The page from this machine: for this machine alone, for phones beside it, or as files for a web host.

Only `posekit show` and `posekit site` load it.

headers   what every answer says about itself
followed  the prop of the builder as it is on disk
site      which folders are served, and the prop of the builder in front
keys      who may save into its folder
doors     what is on disk, how the work differs from it, saving
app       one request, one answer
patience  connections that dawdle are ended, and stop no other
server    all of it on a port of the loopback
network   which addresses this machine has in networks
phone     the same to look at, for phones in one of them

hosting      what a web host may say about the same files
static_site  the page with props of the builder's as files for one: `posekit site`
"""

from posekit.serve.server import Server, bound, in_a_thread, running
from posekit.serve.site import Site, site_of

__all__ = ["Server", "Site", "bound", "in_a_thread", "running", "site_of"]
