package name

import "pintle/lang/syntax"

// DocOf is the text of the `##` lines above a statement.
func DocOf(s *syntax.Stmt) string { return s.Doc() }
