//! Cutting lengths from bars, strip and reels: needs met with least stock.
