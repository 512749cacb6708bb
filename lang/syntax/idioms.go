package syntax

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"pintle/lang/schema"
)

// idiom is an idiom of those who come from everyday English, from the trade or from another
// language, with what is written here: a line of idioms.txt, where the signs are explained.
type idiom struct {
	words []string
	to    string // what is written instead; or note
	in    []schema.ID
	twice bool   // it may be what makes one clause two
	says  string // the message, where the usual one would not do
	why   string // what helps besides
}

// note is a idiom of which nothing can be made without knowing more.
const note = "?"

//go:embed idioms.txt
var idiomsText string

// idioms are the lines of idioms.txt, read when something was not understood for the first time.
var idioms = sync.OnceValue(func() []idiom {
	var out []idiom
	var group idiom
	for line := range strings.Lines(idiomsText) {
		line = strings.TrimRight(line, "\r\n")
		left, right, isRow := strings.Cut(line, " ::")
		switch first, rest, _ := strings.Cut(line, " "); {
		case strings.HasPrefix(line, "#"):
		case isRow:
			h := group
			h.words, h.to = strings.Fields(left), strings.TrimPrefix(right, " ")
			if n := len(h.to); n > 1 && h.to[0] == '"' && h.to[n-1] == '"' {
				h.to = h.to[1 : n-1]
			}
			out = append(out, h)
		case line == "":
			group = idiom{}
		case first == "in":
			for kind := range strings.SplitSeq(rest, ", ") {
				group.in = append(group.in, kindCalled(kind))
			}
		case first == "twice":
			group.twice = true
		case first == "says":
			group.says = rest
		case first == "why":
			group.why = rest
		default:
			panic("idioms.txt: not understood: " + line) // a test reads it
		}
	}
	return out
})

// kindCalled finds a kind by its word; of those that share one, by what it stands in: "chart row".
func kindCalled(word string) schema.ID {
	in, last, ok := strings.Cut(word, " ")
	if !ok {
		last = word
	}
	kinds := schema.Named(last)
	i := slices.IndexFunc(kinds, func(k *schema.Kind) bool {
		return !ok || slices.ContainsFunc(k.Where.Phrases(), func(p string) bool { return strings.HasSuffix(p, " "+in) })
	})
	if i < 0 {
		panic("idioms.txt: no kind: " + word)
	}
	return kinds[i].ID
}
