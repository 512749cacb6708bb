// Package plot draws what happened in time as SVG 1.1: quantities as lines, states as bars,
// one time axis for all of them.
//
// A drawing reads in print and in shades of grey: a state has its name in its bar and a
// shade that differs from its neighbours', a stretch that stands out is hatched, and every
// lane has its name and unit on the left. Colours have a contrast of at least 3:1 against
// what they stand on, texts 4.5:1 (WCAG 2.2, success criteria 1.4.3 and 1.4.11); a test
// works it out. A title and a description say the same to who can't see the drawing
// (SVG 1.1, section 5.4).
//
// The same chart gives the same bytes. A lane of millions of points costs as much as the
// points that its width can show: see Thin.
package plot
