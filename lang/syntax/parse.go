package syntax

import "pintle/lang/source"

// Parse reads a text. prev may be nil, or what an earlier version of the same text
// was parsed to; statements that did not change are then taken over from it. The
// result is the same either way.
func Parse(src *source.File, prev *File) *File {
	return &File{Src: src}
}
