//! The outline of a face to be drilled: straight and round edges, ellipses, inside and distance to the edge.
