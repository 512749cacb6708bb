package ide

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/syntax"
)

// Spoken lists the places that ask for a level in the form of its verb: `is glowing` of a
// level `glows`. They name it as well as its own word does.
func Spoken(x *name.Index, level *name.Def) []diag.Place {
	if level.Sort != name.Level || level.In == nil {
		return nil
	}
	verb, ok := strings.CutSuffix(level.Name, "s")
	if !ok || verb == "" {
		return nil
	}
	forms := map[string]bool{verb + "ing": true, verb + verb[len(verb)-1:] + "ing": true, strings.TrimSuffix(verb, "e") + "ing": true}
	var out []diag.Place
	for _, s := range x.Files() {
		for _, st := range s.File.All() {
			for n := range st.Nodes() {
				c, ok := n.(*syntax.Cond)
				if !ok || c.Op != syntax.CondTest || c.Subject.A == nil {
					continue
				}
				for _, w := range c.Words {
					if !forms[w.Text] || level.In.Own(w.Text) != nil {
						continue
					}
					if d, _ := x.DefinitionAt(s.File.Src, c.Subject.A.Span.End); d != nil && d == level.In.Owner {
						out = append(out, st.Place(w.Span))
					}
				}
			}
		}
	}
	return out
}
