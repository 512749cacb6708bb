package compare

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"pintle/lang/model"
)

// Rename is a thing that has another name in the new design. It is of the same kind and joined in
// the same way.
type Rename struct{ Kind, Old, New string }

// renaming says which things were only renamed.
type renaming struct {
	a, b *model.Design
	to   map[string]string // paths of the old design that the new one has under another name
	out  []Rename
}

// mostRounds bounds how often one of several things that are alike is chosen.
const mostRounds = 60

// renames finds the things that have another name in the new design. It colours the things of
// both designs: first those that both have by their names and the others by what they are, then again and again by
// the colours of what they are joined to, as isomorphisms of graphs are looked for (colour refinement; Weisfeiler
// and Leman, 1968). What then is alone in its colour in both designs is paired; where several are alike
// the first is paired with the first, and the others are coloured again. A mistake costs nothing but
// words: whatever is paired is then compared.
func renames(a, b *model.Design) *renaming {
	r := &renaming{a: a, b: b, to: map[string]string{}}
	x, y := newPainting(a), newPainting(b)
	x.begin(y)
	y.begin(x)
	for range mostRounds {
		x.refine()
		y.refine()
		if !r.pair(x, y) {
			break
		}
	}
	slices.SortStableFunc(r.out, func(p, q Rename) int { return cmp.Compare(x.order[p.Old], x.order[q.Old]) })
	return r
}

// pair pairs things of one colour. It reports whether there may be more.
func (r *renaming) pair(x, y *painting) bool {
	old, fresh := x.open(), y.open()
	found := false
	var several string
	for _, p := range x.paths {
		c := x.colour[p]
		if len(old[c]) == 1 && len(fresh[c]) == 1 {
			r.take(x, y, p, fresh[c][0])
			found = true
		} else if several == "" && len(old[c]) > 0 && len(old[c]) == len(fresh[c]) && old[c][0] == p {
			several = p
		}
	}
	if !found && several != "" {
		r.take(x, y, several, fresh[x.colour[several]][0])
		found = true
	}
	return found
}

func (r *renaming) take(x, y *painting, old, fresh string) {
	r.to[old] = fresh
	r.out = append(r.out, Rename{x.things[old][0].info.Kind, old, fresh})
	x.settle(old, "= "+old)
	y.settle(fresh, "= "+old)
}

var pathIn = regexp.MustCompile(`(is (?:not )?(?:any of )?)?([\pL_][\pL\pN_]*(?:\.[\pL\pN_]+)*)`)

// replacePaths replaces what may be a path in a text: no state, which stands behind `is` and may
// have the name of a thing.
func replacePaths(text string, by func(path string) string) string {
	return pathIn.ReplaceAllStringFunc(text, func(found string) string {
		if parts := pathIn.FindStringSubmatch(found); parts[1] != "" {
			return found
		}
		return by(found)
	})
}

// of is a path of the old design, or a text with paths, as the new design has it.
func (r *renaming) of(text string) string {
	if len(r.to) == 0 {
		return text
	}
	return replacePaths(text, func(path string) string {
		if to, ok := r.to[path]; ok {
			return to
		}
		for p := outer(path); p != ""; p = outer(p) {
			if to, ok := r.to[p]; ok {
				return to + path[len(p):]
			}
		}
		return path
	})
}

// outer is the path of what a thing belongs to; empty for one at the top.
func outer(path string) string { return path[:max(0, strings.LastIndexByte(path, '.'))] }

// top are the renamed things without those that belong to a renamed one.
func (r *renaming) top() []Rename {
	return slices.DeleteFunc(slices.Clone(r.out), func(n Rename) bool {
		for p := outer(n.Old); p != ""; p = outer(p) {
			if _, is := r.to[p]; is {
				return true
			}
		}
		return false
	})
}
