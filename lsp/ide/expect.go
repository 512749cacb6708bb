package ide

import (
	"slices"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// want is something that could stand at the cursor.
type want struct {
	what wantKind
	// form and elem are the clause, and which element of its pattern is wanted; form is
	// nil in a head.
	form *schema.Form
	elem int
	slot *schema.Slot
	// fresh: the clause would begin at the cursor.
	fresh bool
	// word is what a wantWord is about.
	word string
	// subject is what a state, a predicate or a value is said of.
	subject subject
	// ref is the last path of the clause before the cursor: the setting of a position.
	ref string
	// args are the arguments that are given already; arg is the one whose value it is.
	args []string
	arg  string
}

type wantKind uint8

const (
	wantForm      wantKind = iota // the beginning of a clause
	wantWord                      // words of a pattern or of a condition
	wantRef                       // a path, by slot
	wantName                      // a name that the form decides about
	wantValue                     // a number with its unit, or an argument that holds one
	wantUnit                      // a unit behind a number
	wantCount                     // a whole number
	wantSubject                   // the beginning of a condition
	wantPredicate                 // what can be said of a subject
	wantState                     // a state of a subject
	wantText                      // text in quotes
	wantColour                    // a colour
	wantChoice                    // one of the choices of the slot
	wantType                      // the type of an argument
	wantPart                      // a part to fit
	wantArg                       // the name of an argument
	wantArgValue                  // what an argument is
	wantDate                      // a day
)

// subject is what a condition or a threshold looks at, as far as it was written.
type subject struct {
	kind syntax.SubjectKind
	a    string
}

// step is a place in the tokens that a pattern can have come to, with the last path that
// it went over.
type step struct {
	at  int
	ref string
}

// reader matches the tokens before the cursor against what may stand there, all ways at
// once, and notes what could go on at the cursor. Unlike the parser it never decides for
// one way: a half-typed line may still become any of them.
type reader struct {
	toks  []token
	wants []want
	// argument tells whether a name is that of an argument, which may stand for a value;
	// nil: any may be.
	argument func(string) bool

	// Of the clause that is being matched.
	form *schema.Form
	elem int
	slot *schema.Slot
	ref  string
	from int // its first token

	depth int
}

// maxNested bounds parentheses; the parser reads no more either.
const maxNested = 64

func (r *reader) end(i int) bool { return i >= len(r.toks) }

func (r *reader) is(i int, word string) bool {
	return i < len(r.toks) && r.toks[i].text == word && r.toks[i].kind == syntax.NameTok
}

func (r *reader) kind(i int) syntax.TokenKind {
	if i < len(r.toks) {
		return r.toks[i].kind
	}
	return syntax.Newline
}

func (r *reader) add(w want) {
	if w.form == nil {
		w.form, w.elem = r.form, r.elem
	}
	w.fresh = w.form != nil && r.end(r.from)
	if w.slot == nil {
		w.slot = r.slot
	}
	if w.ref == "" {
		w.ref = r.ref
	}
	r.wants = append(r.wants, w)
}

// line matches the whole line of a statement: head, colon, clauses.
func (r *reader) line(st *syntax.Stmt) {
	k := st.Kind
	if k == nil || len(r.toks) == 0 {
		return
	}
	colon := slices.IndexFunc(r.toks, func(t token) bool { return t.kind == syntax.Colon })
	if colon < 0 {
		r.head(k)
		return
	}
	depth := 0
	for i := colon; i < len(r.toks); i++ {
		switch r.toks[i].kind {
		case syntax.OpenParen:
			depth++
		case syntax.CloseParen:
			depth = max(depth-1, 0)
		case syntax.Colon, syntax.Comma:
			if depth == 0 {
				r.clause(k, i+1)
			}
		}
	}
}

// clause matches every form of a kind against what begins at a token. What begins with
// the words of a form is that form.
func (r *reader) clause(k *schema.Kind, at int) {
	worded := !r.end(at) && r.kind(at) == syntax.NameTok && len(k.Starting(r.text(at))) > 0
	for _, f := range k.Forms {
		if worded && f.Elems[0].Slot != nil {
			continue
		}
		r.form, r.elem, r.slot, r.ref, r.from = f, 0, nil, "", at
		if r.end(at) {
			r.add(want{what: wantForm, form: f})
			if f.Elems[0].Slot == nil {
				continue
			}
		}
		r.pattern(f, at)
	}
	r.form, r.slot, r.ref = nil, nil, ""
}

func (r *reader) pattern(f *schema.Form, at int) {
	steps := []step{{at: at}}
	for n := range f.Elems {
		e := &f.Elems[n]
		r.elem, r.slot = n, e.Slot
		var next []step
		for _, s := range steps {
			r.ref = s.ref
			if e.Slot == nil {
				switch {
				case r.end(s.at):
					r.add(want{what: wantWord, word: phrase(f, n)})
				case r.is(s.at, e.Word):
					next = append(next, step{s.at + 1, s.ref})
				}
				continue
			}
			for _, to := range r.fill(e.Slot, s.at) {
				ref := s.ref
				if e.Slot.Type == schema.SlotRef && s.at < len(r.toks) {
					ref = r.toks[s.at].text
				}
				if !slices.ContainsFunc(next, func(x step) bool { return x.at == to }) {
					next = append(next, step{to, ref})
				}
			}
		}
		steps = next
	}
}

// phrase is the words of a pattern from the n-th element on, up to its next slot.
func phrase(f *schema.Form, n int) string {
	var words []string
	for _, e := range f.Elems[n:] {
		if e.Slot != nil {
			break
		}
		words = append(words, e.Word)
	}
	return strings.Join(words, " ")
}

// head matches what stands between the kind word and the colon.
func (r *reader) head(k *schema.Kind) {
	switch k.Head {
	case schema.HeadWhen:
		for _, i := range r.word(1, "when") {
			r.cond(i)
		}
	case schema.HeadEnds:
		r.slot = &schema.Slot{Role: "pin", Type: schema.SlotPin}
		for _, i := range r.path(1) {
			for _, j := range r.word(i, "to") {
				r.path(j)
			}
		}
	case schema.HeadUse:
		switch {
		case r.end(1):
			r.add(want{what: wantText})
		case r.kind(1) == syntax.Text && r.end(2):
			r.add(want{what: wantWord, word: "as"})
		}
	case schema.HeadRule:
		if r.end(1) {
			r.add(want{what: wantName})
		}
	case schema.HeadMove:
		r.move()
	case schema.HeadNames:
		if last := len(r.toks) - 1; last == 0 || r.kind(last) == syntax.Comma {
			r.add(want{what: wantName})
		}
	case schema.HeadNameText, schema.HeadNameMaybe, schema.HeadText:
		if n := len(r.toks); k.Head == schema.HeadText && n == 1 || k.Head != schema.HeadText && n == 2 {
			r.add(want{what: wantText})
		}
	}
	r.slot = nil
}

// move matches `from A, B to C`.
func (r *reader) move() {
	switch last := len(r.toks) - 1; {
	case last == 0:
		r.add(want{what: wantName})
		r.add(want{what: wantWord, word: "any to"})
	case r.kind(last) == syntax.Comma, r.is(last, "to"):
		r.add(want{what: wantName})
	case !slices.ContainsFunc(r.toks[1:], func(t token) bool { return t.text == "to" }):
		r.add(want{what: wantWord, word: "to"})
	}
}

// word steps over words, or wants them.
func (r *reader) word(i int, words string) []int {
	for n, w := range strings.Fields(words) {
		if r.end(i) {
			r.add(want{what: wantWord, word: strings.Join(strings.Fields(words)[n:], " ")})
			return nil
		}
		if !r.is(i, w) {
			return nil
		}
		i++
	}
	return []int{i}
}

// path steps over a path, or wants one.
func (r *reader) path(i int) []int {
	if r.end(i) {
		r.add(want{what: wantRef})
		return nil
	}
	if wordish(r.kind(i)) {
		return []int{i + 1}
	}
	return nil
}
