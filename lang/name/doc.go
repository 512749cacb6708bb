package name

import (
	"strings"

	"pintle/lang/syntax"
)

// DocOf is the text of the `##` lines right above a statement. It looks at the line above
// first: most statements have no such text, and this is asked of every one.
func DocOf(s *syntax.Stmt) string {
	before := s.File().Src.Text[:s.Span.Start]
	line := strings.LastIndexByte(before, '\n')
	if line < 0 {
		return ""
	}
	above := before[strings.LastIndexByte(before[:line], '\n')+1 : line]
	if !strings.HasPrefix(strings.TrimLeft(above, " \t"), "##") {
		return ""
	}
	return s.Doc()
}
