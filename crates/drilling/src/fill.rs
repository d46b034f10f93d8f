//! What goes into the holes: elements, anchors, mass, and the odds that a block is good.
