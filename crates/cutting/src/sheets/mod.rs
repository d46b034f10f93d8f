//! Cutting rectangles from sheets by cuts from edge to edge.
