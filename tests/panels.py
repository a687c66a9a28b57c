"""Panels as the pipeline makes them, with all that is learnt on the way."""

from convert.making.frame import Frame
from convert.making.from_picture import FromPicture
from convert.making.options import PanelOptions
from convert.making.pipeline import make
from convert.making.shapes.silhouette import Silhouette


def panel_options(core, connector, **chosen):
    """Options of a panel in two sizes of bead."""
    return PanelOptions(beads=core.written, connectors=connector.written, **chosen)


def panel(picture, palette, options):
    """A picture woven as a panel."""
    return make(picture.name, Silhouette.of(options), FromPicture(picture), palette, options)


def laid_out(picture, core, connector, **measures):
    """Loops over a picture, before anything is coloured."""
    return Silhouette(**measures).lay_out(Frame((core, connector)), picture)
