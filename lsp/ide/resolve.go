package ide

import (
	"context"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/unit"
)

// Resolve makes the documentation of a completion item, when somebody looks at it. It is
// empty where there is nothing to tell. The source may come from anywhere.
func Resolve(ctx context.Context, v *View, s ItemSource) (Text, error) {
	switch s.What {
	case "kind":
		for _, k := range schema.Named(s.Name) {
			if int(k.ID) == s.ID {
				return kindText(k), nil
			}
		}
	case "form":
		for _, k := range schema.Named(s.Name) {
			for _, f := range k.Forms {
				if int(f.ID) == s.ID {
					return formText(f), nil
				}
			}
		}
	case "unit":
		if u, ok := unit.Lookup(s.Name); ok && s.Name != "" {
			return unitText(u), nil
		}
	case "rule":
		return ruleText(v, s.Name), nil
	case "def":
		x, err := v.Index(ctx)
		if err != nil {
			return nil, err
		}
		for _, sc := range x.Files() {
			if sc.File.Src.Name != s.File {
				continue
			}
			if d, span := x.DefinitionAt(sc.File.Src, s.At); d != nil && span.Start == s.At && strings.HasSuffix(s.Name, d.Name) {
				return declarationText(v, d), nil
			}
		}
	}
	return nil, nil
}

// kindText tells of a kind of statement.
func kindText(k *schema.Kind) Text {
	var t Text
	t.add(Code, k.Example())
	t.add(Words, k.Doc)
	if k.Where != schema.Anywhere {
		t.add(Words, "Stands "+listed(k.Where.Phrases())+".")
	}
	for _, f := range k.Forms {
		line := "`" + schema.Reading(f) + "`: " + schema.Clipped(f.Doc)
		switch {
		case f.Min > 0 && f.Alike != "":
			line += " (this or one like it is required)"
		case f.Min > 0 && f.OrBody:
			line += " (required, unless there is a body)"
		case f.Min > 0:
			line += " (required)"
		}
		t.add(Item, line)
	}
	return t
}

// formText tells of a clause.
func formText(f *schema.Form) Text {
	var t Text
	t.add(Code, f.Example())
	t.add(Words, f.Doc)
	switch {
	case f.Min == 1 && f.OrBody:
		t.add(Words, "Required in `"+f.Kind.Name+"`, unless there is a body.")
	case f.Min > 0 && f.Alike != "":
		t.add(Words, "Required in `"+f.Kind.Name+"`, this or one like it.")
	case f.Min > 0:
		t.add(Words, "Required in `"+f.Kind.Name+"`.")
	case f.Max != 1:
		t.add(Words, "May be said more than once.")
	}
	return t
}

// ruleText is the page of a rule, empty where there is no such rule.
func ruleText(v *View, rule string) Text {
	if v.Catalogue == nil {
		return nil
	}
	r, ok := v.Catalogue.Lookup(rule)
	if !ok {
		return nil
	}
	var t Text
	t.add(Page, r.Card(3))
	return t
}

// declarationText tells how a thing is declared, what its author wrote about it, and where.
func declarationText(v *View, d *name.Def) Text {
	var t Text
	t.add(Code, declaration(d))
	t.add(Words, d.Doc())
	if where := whereabouts(v, d); where != "" {
		t.add(Words, where)
	}
	return t
}

// longestLine is how much of a declaration is shown.
const longestLine = 300

// declaration is the line that declares a thing, without its body.
func declaration(d *name.Def) string {
	if d.Stmt == nil {
		return d.Word() + " " + d.Name
	}
	line := strings.Join(strings.Fields(withoutComments(d.Stmt)), " ")
	if cut := strings.TrimSuffix(line, "{"); d.Stmt.HasBody && cut != line {
		line = strings.TrimRight(cut, " :")
	}
	if r := []rune(line); len(r) > longestLine {
		line = string(r[:longestLine]) + " …"
	}
	return line
}

// whereabouts says where a thing is declared, as seen from the document.
func whereabouts(v *View, d *name.Def) string {
	var parts []string
	if d.Sort == name.Position || d.Sort == name.Level || d.Sort == name.Terminal || d.Sort == name.Way {
		parts = append(parts, "a "+d.Word()+" of `"+d.In.Owner.Name+"`")
	}
	for s := d.In; s != nil && s.Owner != nil; s = s.Owner.In {
		if s.Kind != name.OfMembers {
			parts = append(parts, "in `"+s.Owner.Kind.String()+" "+s.Owner.Name+"`")
		}
	}
	if f := d.NamePlace.File; f != nil && f != v.Src() {
		parts = append(parts, "declared in `"+Shown(f.Name, v.Workspace.Folders())+"`")
	}
	if len(parts) == 0 {
		return ""
	}
	s := strings.Join(parts, ", ")
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// listed joins phrases as one says them.
func listed(list []string) string {
	switch n := len(list); n {
	case 0:
		return ""
	case 1:
		return list[0]
	default:
		return strings.Join(list[:n-1], ", ") + " or " + list[n-1]
	}
}
