package elaborate

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// nodeState lowers `is live`, `is grounded` and `is floating` of a point.
func (b *builder) nodeState(s scene, c *syntax.Cond, t thing, word string) ([]string, *model.Cond) {
	place := s.place(c.Span)
	var kind model.AtomKind
	switch word {
	case "live":
		kind = model.AtomLive
	case "grounded":
		kind = model.AtomGrounded
	case "floating":
		kind = model.AtomFloating
	default:
		return []string{"live", "grounded", "floating"}, nil
	}
	if kind != model.AtomLive && b.d.Ground == model.None && !b.alone {
		b.noGround(s, c.Subject.A)
		return nil, unknownAt(place)
	}
	n := int(t.id)
	if t.kind == aWay {
		n = int(b.wayNodes[t.id].way(int(t.way), 0))
	}
	return nil, atom(place, model.Atom{Kind: kind, Index: n})
}

// levelState lowers a named level of a load: so many percent of the rated volts or more,
// of either polarity.
func (b *builder) levelState(place diag.Place, id model.LoadID, word string) ([]string, *model.Cond) {
	l := &b.d.Loads[id]
	if l.Broken {
		return nil, unknownAt(place)
	}
	i := levelAsked(l, word)
	if i < 0 {
		names := make([]string, len(l.Levels))
		for j := range l.Levels {
			names[j] = l.Levels[j].Name
		}
		return names, nil
	}
	p := model.Exactly(l.Rated * l.Levels[i].Percent / 100)
	p.Place = l.Levels[i].Place
	m := model.Measure{Kind: model.AbsVolts, A: l.A, B: l.B, Element: l.Element, Load: id, LevelName: word}
	return nil, measureIs(m, model.AtLeast, p, place)
}

// levelAsked finds the level that a word asks for. A level that is written as a verb,
// `glows from 15 %`, may be asked for as people say it: `is glowing`.
func levelAsked(l *model.Load, word string) int {
	if i := levelOf(l, word); i >= 0 || !strings.HasSuffix(word, "ing") {
		return i
	}
	for i := range l.Levels {
		verb, ok := strings.CutSuffix(l.Levels[i].Name, "s")
		if !ok || verb == "" {
			continue
		}
		last := verb[len(verb)-1:]
		if word == verb+"ing" || word == verb+last+"ing" || word == strings.TrimSuffix(verb, "e")+"ing" {
			return i
		}
	}
	return -1
}

func (b *builder) fitState(place diag.Place, t thing, word string) ([]string, *model.Cond) {
	y := b.bodies[t.id]
	if y.controller == model.None {
		return nil, nil
	}
	if word != "powered" {
		return []string{"powered"}, nil
	}
	k := &b.d.Controllers[y.controller]
	if k.Broken {
		return nil, unknownAt(place)
	}
	k.Used++
	return nil, memoryIs(k.Powered, place, 1)
}

// decideGuard evaluates the condition of an `only when`, which is over options alone.
func (b *builder) decideGuard(g *name.Guard, y *body) truth {
	if c := g.Stmt.Head().Cond; c != nil {
		return b.overOptions(y, c)
	}
	return notKnown
}

// chosen is decideGuard for an `only when` among rows.
func (b *builder) chosen(y *body, st *syntax.Stmt) bool {
	return st.Head().Cond != nil && b.overOptions(y, st.Head().Cond) == isTrue
}

// truth of a condition over options: it may not be known.
type truth uint8

const (
	notKnown truth = iota
	isTrue
	isFalse
)

func (t truth) not() truth {
	switch t {
	case isTrue:
		return isFalse
	case isFalse:
		return isTrue
	}
	return notKnown
}

func truthOf(yes bool) truth {
	if yes {
		return isTrue
	}
	return isFalse
}

func (b *builder) overOptions(y *body, c *syntax.Cond) truth {
	switch c.Op {
	case syntax.CondAlways:
		return isTrue
	case syntax.CondNot:
		return b.overOptions(y, c.Kids[0]).not()
	case syntax.CondAnd, syntax.CondOr:
		out := truthOf(c.Op == syntax.CondAnd)
		for _, k := range c.Kids {
			switch v := b.overOptions(y, k); {
			case v == notKnown:
				out = notKnown
			case out != notKnown && v != truthOf(c.Op == syntax.CondAnd):
				out = v
			}
		}
		return out
	case syntax.CondTest:
		return b.optionIs(y, c)
	case syntax.CondBad:
		return notKnown
	}
	b.optionsOnly(y, c, nil)
	return notKnown
}

func (b *builder) optionIs(y *body, c *syntax.Cond) truth {
	if c.Subject.Kind != syntax.SubjectRef {
		b.optionsOnly(y, c, nil)
		return notKnown
	}
	d := name.Resolve(y.scope, c.Subject.A)
	if d == nil {
		if _, ok := b.resolve(y, c.Subject.A); ok {
			b.optionsOnly(y, c, nil)
		}
		return notKnown
	}
	last := c.Subject.A.Parts[len(c.Subject.A.Parts)-1]
	i := slices.IndexFunc(b.options, func(o option) bool { return o.def == d })
	if i < 0 {
		if d.Kind != schema.Option || !d.Broken {
			b.optionsOnly(y, c, d)
		}
		return notKnown
	}
	b.note(y, last.Span, d)
	b.optionUses[i]++
	if c.Pred != syntax.PredIs && c.Pred != syntax.PredIsNot && c.Pred != syntax.PredIsAnyOf {
		b.optionsOnly(y, c, d)
		return notKnown
	}
	is := false
	for _, w := range c.Words {
		p, ok := b.position(y, d, b.options[i].positions, w, d.Inner)
		if !ok {
			return notKnown
		}
		is = is || p == b.choice[i]
	}
	return truthOf(is != (c.Pred == syntax.PredIsNot))
}

func (b *builder) optionsOnly(y *body, c *syntax.Cond, d *name.Def) {
	f := diag.Finding{
		Rule: "wrong-kind", Place: diag.Place{File: y.scope.File.Src, Span: c.Span},
		Message: "`only when` depends on options only",
		Why:     "what a vehicle is built with does not change while it runs",
		Help:    "declare an option: option steering: left, right",
	}
	if d != nil {
		f.Message += ", and `" + d.Name + "` is " + article(d.Word())
		f.Related = []diag.Related{{Place: d.NamePlace, Note: "declared here"}}
	}
	b.report(y, nil, f)
}
