package mutate

import (
	"context"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// The names of two designs that stand in one text begin with these.
const (
	left  = "aa_"
	right = "bb_"
)

// joint is what two designs that are put side by side share: their ground and battery.
type joint struct {
	ground, supply *syntax.Stmt
	volts          string // the supply without its name and ends
}

// jointOf finds the one ground and the one supply of a design; false where it has others,
// where it uses files or has options.
func jointOf(d Design) (joint, bool) {
	var j joint
	for _, s := range d.Parse().All() {
		if s.Kind == nil {
			return j, false
		}
		switch s.Kind.ID {
		case schema.Ground:
			if j.ground != nil || s.Parent != nil {
				return j, false
			}
			j.ground = s
		case schema.Supply:
			if j.supply != nil || s.Parent != nil || s.Broken {
				return j, false
			}
			j.supply = s
		case schema.Use, schema.Option, schema.Bench:
			return j, false
		}
	}
	if j.ground == nil || j.supply == nil {
		return j, false
	}
	ends := j.supply.Clause(schema.SupplyEnds)
	if ends == nil || ends.Ref("minus") == nil || ends.Ref("plus") == nil || ends.Ref("minus").String() != j.ground.Name().Text || j.supply.Has(schema.SupplyWhile) {
		return j, false
	}
	for _, c := range j.supply.Clauses() {
		if c != ends {
			j.volts += j.supply.File().Src.Text[c.Start:c.End] + ", "
		}
	}
	j.volts += ends.Ref("plus").String() // a terminal, or a node of the same name
	return j, true
}

// Beside puts two designs into one text, on one battery; false where they have not the
// same one. The names of the one begin with left, of the other with right.
func Beside(ctx context.Context, a, b Design) (Design, bool) {
	x, ok := jointOf(a)
	y, okB := jointOf(b)
	if !ok || !okB || x.volts != y.volts {
		return Design{}, false
	}
	one := a.Renamed(ctx, left, nil)
	// The ground and the battery of the other one stand for its own.
	two := b.Renamed(ctx, right, map[string]string{y.ground.Name().Text: left + x.ground.Name().Text, y.supply.Name().Text: left + x.supply.Name().Text})
	file := two.Parse()
	m := &maker{file: file}
	var edits []edit
	for _, s := range file.Stmts {
		if s.Kind != nil && is(s, schema.Title, schema.Ground, schema.Supply) {
			edits = append(edits, edit{m.whole(s), ""})
		}
	}
	// Where the battery's plus is a node of its own, both have one.
	plus := x.supply.Clause(schema.SupplyEnds).Ref("plus").String()
	text := applied(two.Text, edits)
	if strings.Contains(text, right+plus) && !strings.Contains(text, left+x.supply.Name().Text+"."+plus) {
		return Design{}, false
	}
	return one.With(one.Text + "\n" + text), true
}

// Union reports how the findings on two designs side by side differ from those on each by
// itself, - what is missing, + what came up. The battery and the ground count once.
func Union(a, b, both []diag.Finding) []string {
	count := map[string]int{}
	add := func(fs []diag.Finding, read func(string) string, by int) {
		for i := range fs {
			f := &fs[i]
			count[f.Severity.String()+" "+f.Rule+" ["+read(f.Subject)+"]"] += by
		}
	}
	// Names are compared without what stands before them: both may have a lamp.
	bare := func(s string) string { return strings.NewReplacer(left, "", right, "").Replace(s) }
	add(a, bare, 1)
	add(b, bare, 1)
	add(both, bare, -1)
	return differences(count)
}
