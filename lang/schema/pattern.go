package schema

import (
	"fmt"
	"slices"
	"strings"

	"pintle/lang/failure"
	"pintle/lang/unit"
)

// form is a clause as the table writes it down.
type form struct {
	id      FormID
	pattern string
	doc     string
	min     int
	max     int // 0: any number
	alike   string
	orBody  bool
}

// The counts of a clause. `opt` is the rule: at most once.
func opt(id FormID, pattern, doc string) form {
	return form{id: id, pattern: pattern, doc: doc, max: 1}
}
func req(id FormID, pattern, doc string) form {
	return form{id: id, pattern: pattern, doc: doc, min: 1, max: 1}
}
func many(id FormID, pattern, doc string) form { return form{id: id, pattern: pattern, doc: doc} }

// least tells that the clause stands at least so many times, without an upper limit.
func least(n int, id FormID, pattern, doc string) form {
	return form{id: id, pattern: pattern, doc: doc, min: n}
}

// alike makes forms stand in for each other; counts are those of the first.
func alike(name string, forms ...form) []form {
	for i := range forms {
		forms[i].alike = name
		forms[i].min, forms[i].max, forms[i].orBody = forms[0].min, forms[0].max, forms[0].orBody
	}
	return forms
}

// orBody lets a body in braces stand in for the clause.
func orBody(f form) form {
	f.orBody = true
	return f
}

// forms joins single clauses and lists of alike ones.
func forms(parts ...any) []form {
	var out []form
	for _, p := range parts {
		switch p := p.(type) {
		case form:
			out = append(out, p)
		case []form:
			out = append(out, p...)
		default:
			panic(fmt.Sprintf("kinds: %T in a list of forms", p))
		}
	}
	return out
}

// entry is a kind as the table writes it down.
type entry struct {
	kind  Kind
	forms []form
}

// build compiles the table. What it panics about are mistakes of the table itself,
// which the tests of this package meet; no design can cause them.
func build() *table {
	t := &table{byName: map[string][]*Kind{}}
	t.byID[None] = &Kind{}
	for _, e := range entries() {
		k := new(e.kind)
		k.byWord = map[string][]*Form{}
		for _, f := range e.forms {
			f := compile(k, f)
			f.Tally = len(k.Forms)
			for i, other := range k.Forms {
				if f.Alike != "" && other.Alike == f.Alike {
					f.Tally = i
					break
				}
			}
			k.Forms = append(k.Forms, f)
			if w := f.Elems[0].Word; w != "" {
				k.byWord[w] = append(k.byWord[w], f)
			} else {
				k.bare = append(k.bare, f)
			}
			if t.byForm[f.ID] != nil {
				panic("kinds: " + f.Pattern + " has the ID of another form")
			}
			t.byForm[f.ID] = f
		}
		if t.byID[k.ID] != nil {
			panic("kinds: " + k.Name + " has the ID of another kind")
		}
		k.Snippet = k.snippet()
		k.Fails = failure.Of(k.Name)
		t.byID[k.ID] = k
		t.all = append(t.all, k)
		t.byName[k.Name] = append(t.byName[k.Name], k)
	}
	t.nameKinds()
	return t
}

func compile(k *Kind, f form) *Form {
	out := &Form{ID: f.id, Kind: k, Pattern: f.pattern, Doc: f.doc, Alike: f.alike, Min: f.min, Max: f.max, OrBody: f.orBody}
	rest := f.pattern
	for rest != "" {
		rest = strings.TrimLeft(rest, " ")
		if inner, ok := strings.CutPrefix(rest, "{"); ok {
			inner, after, ok := strings.Cut(inner, "}")
			if !ok {
				panic("kinds: a slot is not closed in " + f.pattern)
			}
			slot := compileSlot(inner)
			out.Elems = append(out.Elems, Elem{Slot: &slot})
			rest = after
			continue
		}
		word, after, _ := strings.Cut(rest, " ")
		out.Elems = append(out.Elems, Elem{Word: word})
		rest = after
	}
	return out
}

var slotTypes = map[string]SlotType{
	"name":    SlotName,
	"word":    SlotWord,
	"ref":     SlotRef,
	"pin":     SlotPin,
	"refs":    SlotRefs,
	"count":   SlotCount,
	"cond":    SlotCond,
	"text":    SlotText,
	"colour":  SlotColour,
	"date":    SlotDate,
	"type":    SlotArgType,
	"default": SlotDefault,
	"subject": SlotSubject,
	"call":    SlotCall,
	"args":    SlotArgs,
	"faults":  SlotFaults,
}

var shapes = map[string]Shape{"value": One, "range": Range, "value-or-range": OneOrRange, "pair": Pair}

var (
	limits = map[string]Limit{"signed": Signed, "positive": Positive, "from-0": FromZero, "share": Share}
	orders = map[string]Order{"rising": Rising, "unordered": Unordered}
)

// compileSlot reads what stands between the braces of a pattern:
//
//	role:pin                     a slot type
//	role:value voltage|current   a quantity: value, range, value-or-range or pair, then
//	                             dimensions or `any`, then `difference`, `+-` or `written`,
//	                             the limit: signed, positive, from-0 or share,
//	                             and of a range `rising` or `unordered`
//	role:ref coil|armature       a path, which may name things of these kinds only;
//	                             `failing` stands for all kinds of things that can fail
//	role:one of low|high         a choice
//	role:mode                    a choice: the mode in which something fails
func compileSlot(text string) Slot {
	role, what, ok := strings.Cut(text, ":")
	if !ok {
		panic("kinds: a slot without a role: " + text)
	}
	s := Slot{Role: role}
	if choices, ok := strings.CutPrefix(what, "one of "); ok {
		s.Type, s.Choices = SlotChoice, strings.Split(choices, "|")
		return s
	}
	if what == "mode" {
		s.Type, s.Choices = SlotChoice, faultModes()
		return s
	}
	words := strings.Fields(what)
	if t, ok := slotTypes[words[0]]; ok {
		s.Type = t
		switch t {
		case SlotArgType:
			s.Choices = []string{"condition", "quantity", "setting", "count"}
		case SlotFaults:
			s.Choices, s.names = faultModes(), "failing|fault"
		}
		if len(words) > 1 {
			s.names = words[1]
		}
		return s
	}
	shape, ok := shapes[words[0]]
	if !ok || len(words) < 2 {
		panic("kinds: not a slot: " + text)
	}
	s.Type, s.Shape = SlotQuantity, shape
	if words[1] != "any" {
		for d := range strings.SplitSeq(words[1], "|") {
			s.Dims = append(s.Dims, dim(d))
		}
	}
	s.Difference = slices.Contains(words[2:], "difference")
	s.Tolerance = slices.Contains(words[2:], "+-")
	s.Written = slices.Contains(words[2:], "written")
	for _, w := range words[2:] {
		if l, ok := limits[w]; ok {
			s.Limit = l
		}
		if o, ok := orders[w]; ok {
			s.Order = o
		}
	}
	if s.Limit == Unlimited {
		panic("kinds: a quantity without a limit: " + text)
	}
	return s
}

// faultModes are the words of the modes in which things fail.
func faultModes() []string {
	var out []string
	for _, m := range failure.Modes() {
		out = append(out, string(m))
	}
	return out
}

// nameKinds finds the kinds that the paths of all slots may name, once all of them are there.
func (t *table) nameKinds() {
	for _, k := range t.all {
		for _, f := range k.Forms {
			for _, e := range f.Elems {
				if e.Slot == nil || e.Slot.names == "" {
					continue
				}
				for w := range strings.SplitSeq(e.Slot.names, "|") {
					e.Slot.Names = append(e.Slot.Names, t.kindsNamed(w)...)
				}
			}
		}
	}
}

func (t *table) kindsNamed(word string) (out []ID) {
	for _, k := range t.all {
		if k.Name == word || word == "failing" && len(k.Fails) > 0 {
			out = append(out, k.ID)
		}
	}
	if out == nil {
		panic("kinds: no kind is called " + word)
	}
	return out
}

func dim(name string) unit.Dim {
	for _, d := range unit.Dims() {
		if d.String() == name {
			return d
		}
	}
	panic("kinds: no such dimension: " + name)
}

func (f *Form) literal() string {
	var words []string
	for _, e := range f.Elems {
		if e.Word == "" {
			break
		}
		words = append(words, e.Word)
	}
	return strings.Join(words, " ")
}
