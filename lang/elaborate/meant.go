package elaborate

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// What follows knows how people call things who come from the trade, from everyday English or
// from another language, and what is written here. It is asked only about names that stand
// for nothing, and about states that a thing does not have.

// earths are words for the zero of a design, whatever it is called there.
var earths = []string{"ground", "gnd", "earth", "mass", "chassis", "body", "frame", "minus", "negative", "return"}

// throws are what contacts are called by the trade.
var throws = map[string]string{"no": "make", "normally_open": "make", "nc": "break", "normally_closed": "break", "spst": "make"}

// meantBy finds what was meant by a name that stands for nothing: what to write instead, or
// else what helps.
func (b *builder) meantBy(y *body, w syntax.Word) (best, help string) {
	word := strings.ToLower(w.Text)
	st := y.scope.File.At(w.Start)
	kind := schema.Title
	if st != nil && st.Kind != nil {
		kind = st.Kind.ID
	}
	if kind == schema.Wire || kind == schema.Connector {
		if c := schema.ColourMeant(w.Text); c != "" {
			return c, "colours are written out, the base first and the stripe behind `/`"
		}
	}
	if kind == schema.Wire {
		if size, ok := strings.CutPrefix(word, "awg"); ok {
			if size = strings.TrimLeft(size, "-_"); size != "" {
				if _, err := unit.ParseAWG(size); err == nil {
					return size + " AWG", "the number comes first"
				}
			}
		}
	}
	if kind == schema.Contact && throws[word] != "" {
		return throws[word], "`make` is closed when its coil is pulled in, `break` when it is let go"
	}
	// A supply that calls a terminal so is meant before the ground: a pack that is isolated on
	// purpose must not be joined to the body by a slip of the pen.
	var terminals []string
	for d := range y.scope.Visible() {
		if d.Kind == schema.Supply && d.Inner != nil && d.Sort != name.Lost && d.Inner.Own(w.Text) != nil && d.Inner.Own(w.Text).Sort == name.Terminal {
			terminals = append(terminals, d.Name+"."+w.Text)
		}
	}
	switch len(terminals) {
	case 0:
	case 1:
		return terminals[0], "that is a terminal of " + strings.TrimSuffix(terminals[0], "."+w.Text)
	default:
		return "", "say of which supply: " + listOf(terminals)
	}
	var same string // but for capitals
	for d := range y.scope.Visible() {
		if d.Kind == schema.Ground && d.Sort != name.Lost && slices.Contains(earths, word) {
			return d.Name, "that is the ground of this design"
		}
		if same == "" && d.Name != w.Text && strings.EqualFold(d.Name, w.Text) {
			same = d.Name
		}
	}
	if same != "" {
		return same, ""
	}
	switch {
	case word == "true":
		return "always", "a condition is true by itself"
	case slices.Contains(earths[:3], word) && y.inPart():
		return "", "a part sees no ground: give it a pin, and join that to the ground from outside"
	case slices.Contains(earths[:3], word):
		return "", "declare the zero of the design: ground " + w.Text
	case kind == schema.Fit && st.Clause(schema.FitPart) != nil || kind == schema.Fit && st.Clause(schema.FitMany) != nil:
		return "", "a `fit` puts a `part` in place: declare part " + w.Text + ", or bring in the file that does with `use`"
	}
	return "", ""
}

// likeStates are words for the states of things, with those that are meant; of several the
// thing has one.
var likeStates = map[string][]string{
	"closed": {"made"}, "shut": {"made"}, "broken": {"open"}, "opened": {"open"},
	"energized": {"energised"}, "activated": {"energised", "on"}, "active": {"energised", "on", "running"}, "in": {"energised"},
	"pulled_in": {"energised"}, "deenergised": {"released"}, "de-energised": {"released"}, "deenergized": {"released"}, "de-energized": {"released"}, "dropped": {"released"},
	"on": {"energised", "made", "live", "high", "running", "powered"}, "off": {"released", "open", "floating", "low", "idle"},
	"true": {"on", "energised", "made", "high"}, "false": {"off", "released", "open", "low"},
	"hot": {"live"}, "positive": {"live"}, "earthed": {"grounded"}, "ground": {"grounded"}, "disconnected": {"floating"}, "dead": {"floating"},
	"over": {"done"}, "expired": {"done"}, "finished": {"done"}, "elapsed": {"done"}, "started": {"running"}, "stopped": {"idle"}, "waiting": {"idle"},
	"connected": {"fed"}, "supplied": {"fed"}, "empty": {"vented"}, "blocked": {"neither"},
	"powered": {"live", "energised", "on"}, "set": {"energised", "high", "on"}, "clear": {"released", "low", "off"},
	"1": {"high", "on", "made"}, "0": {"low", "off", "open"},
}

// stateMeant finds which of the states of a thing a word stands for.
func stateMeant(word string, states []string) string {
	word = strings.ToLower(word)
	if slices.Contains(states, word) {
		return word
	}
	for _, s := range likeStates[word] {
		if slices.Contains(states, s) {
			return s
		}
	}
	return ""
}

// Words by which people ask whether something is true that is a condition by itself.
var (
	yesWords = []string{"true", "on", "set", "active", "high", "yes", "1", "so"}
	noWords  = []string{"false", "off", "clear", "cleared", "inactive", "low", "no", "0"}
)

// asIs helps where a state is asked of what is true or false by itself, and of a load that it
// is simply on or off.
func (b *builder) asIs(s scene, c *syntax.Cond, t thing, w syntax.Word, f *diag.Finding) {
	name := c.Subject.A.String()
	word := strings.ToLower(w.Text)
	yes, no := slices.Contains(yesWords, word), slices.Contains(noWords, word)
	if c.Pred != syntax.PredIs && c.Pred != syntax.PredIsNot || c.Subject.Kind != syntax.SubjectRef || !yes && !no {
		return
	}
	text, denied := "", no != (c.Pred == syntax.PredIsNot)
	switch {
	case t.kind == schema.Threshold || t.kind == schema.Condition:
		if text = name; denied {
			text = "not " + name
		}
	case t.kind == schema.Load && len(b.d.Loads[t.id].Levels) == 1:
		if text = name + " is " + b.d.Loads[t.id].Levels[0].Name; denied {
			text = name + " is not " + b.d.Loads[t.id].Levels[0].Name
		}
	default:
		return
	}
	f.Help = "write `" + text + "`"
	f.Fixes = []diag.Fix{{Title: "write `" + text + "`", Edits: []diag.Edit{{Place: s.place(c.Span), New: text}}}}
}

// loneState reports the name of a state that stands as a condition of its own behind one
// about the thing that has it: `key is run or crank`. It reports whether that is so.
func (b *builder) loneState(s scene, c *syntax.Cond, i int) bool {
	k := c.Kids[i]
	if !isLone(k) || name.Resolve(s.y.scope, k.Subject.A) != nil {
		return false
	}
	first := i - 1
	for first >= 0 && isLone(c.Kids[first]) {
		first--
	}
	if first < 0 {
		return false
	}
	q := c.Kids[first]
	if q.Op != syntax.CondTest || q.Subject.Kind != syntax.SubjectRef || q.Pred != syntax.PredIs && q.Pred != syntax.PredIsNot && q.Pred != syntax.PredIsAnyOf {
		return false
	}
	t, ok := b.resolve(s.y, q.Subject.A)
	if !ok {
		return false
	}
	names, _ := b.namedStates(t)
	word := k.Subject.A.Parts[0].Text
	if !slices.Contains(names, word) {
		return false
	}
	var words []string
	for _, w := range q.Words {
		words = append(words, w.Text)
	}
	for _, other := range c.Kids[first+1 : i+1] {
		words = append(words, other.Subject.A.String())
	}
	subject := q.Subject.A.String()
	text := subject + " is any of " + strings.Join(words, ", ")
	if q.Pred == syntax.PredIsNot {
		text = "not " + text
	}
	span := source.Span{Start: q.Start, End: k.End}
	b.report(s.y, nil, diag.Finding{
		Rule: "undefined-name", Place: s.place(k.Span),
		Message: "`" + word + "` is " + article(stateWord(t)) + " of `" + subject + "`, and no condition by itself",
		Why:     "a line that uses this name has no effect",
		Help:    "write `" + text + "`",
		Related: declaredHere(t),
		Fixes:   []diag.Fix{{Title: "write `" + text + "`", Edits: []diag.Edit{{Place: s.place(span), New: text}}}},
	})
	return true
}

// isLone tells of a condition that it is a single word.
func isLone(c *syntax.Cond) bool {
	return c.Op == syntax.CondTest && c.Pred == syntax.PredTrue && c.Subject.Kind == syntax.SubjectRef && c.Subject.A != nil && len(c.Subject.A.Parts) == 1
}

func stateWord(t thing) string {
	switch t.kind {
	case schema.Modes:
		return "mode"
	case schema.Result:
		return "row"
	case schema.Bands:
		return "band"
	}
	return "position"
}

// lowerKids lowers what `and` or `or` joins.
func (b *builder) lowerKids(s scene, c *syntax.Cond) []*model.Cond {
	kids := make([]*model.Cond, len(c.Kids))
	for i, k := range c.Kids {
		if i > 0 && b.loneState(s, c, i) {
			kids[i] = unknownAt(s.place(k.Span))
			continue
		}
		kids[i] = b.lower(s, k)
	}
	return kids
}
