package hover

import (
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lsp/ide"
)

// KindText tells of a kind of statement.
func KindText(k *schema.Kind) ide.Text {
	var t ide.Text
	t.Add(ide.Code, k.Example())
	t.Add(ide.Words, k.Doc)
	if k.Where != schema.Anywhere {
		t.Add(ide.Words, "Stands "+ide.Listed(k.Where.Phrases())+".")
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
		t.Add(ide.Item, line)
	}
	return t
}

// FormText tells of a clause.
func FormText(f *schema.Form) ide.Text {
	var t ide.Text
	t.Add(ide.Code, f.Example())
	t.Add(ide.Words, f.Doc)
	switch {
	case f.Min == 1 && f.OrBody:
		t.Add(ide.Words, "Required in `"+f.Kind.Name+"`, unless there is a body.")
	case f.Min > 0 && f.Alike != "":
		t.Add(ide.Words, "Required in `"+f.Kind.Name+"`, this or one like it.")
	case f.Min > 0:
		t.Add(ide.Words, "Required in `"+f.Kind.Name+"`.")
	case f.Max != 1:
		t.Add(ide.Words, "May occur more than once.")
	}
	return t
}

// RuleText is the page of a rule, empty where there is no such rule.
func RuleText(v *ide.View, rule string) ide.Text {
	if v.Catalogue == nil {
		return nil
	}
	r, ok := v.Catalogue.Lookup(rule)
	if !ok {
		return nil
	}
	var t ide.Text
	t.Add(ide.Page, r.Card(3))
	return t
}

// DeclarationText reports how a thing is declared, what its author wrote about it, and where.
func DeclarationText(v *ide.View, d *name.Def) ide.Text {
	var t ide.Text
	t.Add(ide.Code, declaration(d))
	t.Add(ide.Words, d.Doc())
	if where := whereabouts(v, d); where != "" {
		t.Add(ide.Words, where)
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
	line := strings.Join(strings.Fields(ide.WithoutComments(d.Stmt)), " ")
	if cut := strings.TrimSuffix(line, "{"); d.Stmt.HasBody && cut != line {
		line = strings.TrimRight(cut, " :")
	}
	if r := []rune(line); len(r) > longestLine {
		line = string(r[:longestLine]) + " …"
	}
	return line
}

// whereabouts says where a thing is declared, as seen from the document.
func whereabouts(v *ide.View, d *name.Def) string {
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
		parts = append(parts, "declared in `"+ide.Shown(f.Name, v.Workspace.Folders())+"`")
	}
	if len(parts) == 0 {
		return ""
	}
	s := strings.Join(parts, ", ")
	return strings.ToUpper(s[:1]) + s[1:] + "."
}
