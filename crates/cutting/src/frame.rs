//! Frames folded from notched strip: notches, bend deductions, blank length, and what an angle error opens.
