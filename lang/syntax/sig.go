package syntax

// sig is a significant token: one that is no space, newline or comment.
type sig struct {
	start, end int32
	kind       TokenKind
	first      bool // the first of its line
}

// significant drops trivia. The result ends with a sentinel that is first of its line,
// so that a look ahead never runs out.
func significant(ts Tokens) []sig {
	n := ts.Len()
	out := make([]sig, 0, n/2+n/8+8)
	first := true
	for i := range n {
		switch k := ts[i].Kind; k {
		case Space, Comment:
		case Newline:
			first = true
		default:
			out = append(out, sig{start: ts[i].start, end: ts[i+1].start, kind: k, first: first})
			first = false
		}
	}
	end := ts[n].start
	return append(out, sig{start: end, end: end, kind: Newline, first: true})
}
