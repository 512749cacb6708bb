package elaborate

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// Bounds on numbers, in base units, beyond what their slot says. They lie far outside of
// what a vehicle has; what is computed with numbers inside them stays finite.
var (
	mostVolts   = unit.Int(100_000)       // V
	mostSeconds = unit.Int(10_000 * 3600) // s
	mostPercent = unit.Int(1000)          // %
	leastTime   = unit.Ratio(1, 1_000_000)
)

// lasting is the slot of a time that something lasts, also of `for` and `in the last`.
func lasting() *schema.Slot { return schema.FormOf(schema.TimerLasts).Slot("time") }

// possible reports whether the numbers of a quantity are such as its slot takes, and reports
// the first that is not, where it is written.
func (b *builder) possible(y *body, p, q *syntax.Quantity, slot *schema.Slot) bool {
	if why := limited(q.Value, slot, q.Ranged); why != "" {
		return b.impossible(y, p, p.Param, q.Value, why, slot)
	}
	if q.Ranged {
		if why := limited(q.Hi, slot, false); why != "" {
			return b.impossible(y, p, p.HiParam, q.Hi, why, slot)
		}
		return b.inOrder(y, p, q, slot)
	}
	if !q.HasTol {
		return true
	}
	t, err := unit.WithTolerance(q.Value, q.Tol)
	if err != nil {
		b.impossible(y, p, p.Param, q.Value, err.Error(), slot)
		return false
	}
	if low := t.Min(); slot.Limit == schema.Positive && low.N.Sign() <= 0 {
		return b.impossible(y, p, p.Param, q.Value, t.String()+" reaches down to "+low.String()+": it has to stay above 0", slot)
	}
	return true
}

// limited says in words how a number is outside of the limit of its slot; "" where it is
// not. low: it is the lower end of a range.
func limited(v unit.Value, slot *schema.Slot, low bool) string {
	sign := v.N.Sign()
	low = low && v.Dim() == unit.Time
	switch slot.Limit {
	case schema.Positive:
		if sign < 0 || sign == 0 && !low {
			return v.String() + " is too low: it has to be above " + zero(v)
		}
	case schema.FromZero:
		if sign < 0 {
			return v.String() + " is too low: it has to be " + zero(v) + " or more"
		}
	case schema.Share:
		if sign <= 0 || v.N.Cmp(unit.Int(100)) > 0 {
			return v.String() + " is no share: it has to be above 0 % and no more than 100 %"
		}
	default:
		return ""
	}
	most := unit.Num{}
	switch v.Dim() {
	case unit.Voltage:
		most = mostVolts
	case unit.Time:
		most = mostSeconds
	case unit.Percentage:
		most = mostPercent
	default:
		return ""
	}
	switch {
	case v.N.Cmp(most) > 0:
		return v.String() + " is too high: it can be " + unit.Format(most.Float64(), v.Dim()) + " at most"
	case v.Dim() == unit.Time && slot.Limit == schema.Positive && !(low && sign == 0) && v.N.Cmp(leastTime) < 0:
		return v.String() + " is too short: it has to be at least " + unit.Format(leastTime.Float64(), unit.Time)
	}
	return ""
}

// zero is nothing, in the unit of a value.
func zero(v unit.Value) string { return strings.TrimSpace("0 " + v.Unit.Symbol) }

// inOrder reports a range that does not begin with its lower end, or that is empty where
// that means nothing.
func (b *builder) inOrder(y *body, p, q *syntax.Quantity, slot *schema.Slot) bool {
	n, err := q.Value.Cmp(q.Hi)
	switch {
	case err != nil || slot.Order == schema.Unordered || n < 0 || n == 0 && slot.Order == schema.InOrder:
		return true
	case n == 0:
		return b.impossible(y, p, nil, q.Value, "a range from "+q.Value.String()+" to "+q.Hi.String()+" holds a single value: its ends have to differ", slot)
	}
	f := b.impossibleFinding(y, p, p.HiParam, q.Value, q.Value.String()+" lies above "+q.Hi.String()+": a range begins with its lower end", slot)
	f.Help = "write the lower end first"
	if p.Param == nil && p.HiParam == nil {
		f.Fixes = []diag.Fix{{Title: "swap the two ends", Edits: []diag.Edit{{Place: f.Place, New: swapped(q, slot)}}}}
	}
	b.report(y, nil, f)
	return false
}

// swapped is the text of a range the other way round.
func swapped(q *syntax.Quantity, slot *schema.Slot) string {
	between := " to "
	if slot.Shape == schema.Pair {
		between = " and "
	}
	return q.Hi.String() + between + q.Value.String()
}

// impossible reports a number that can't be. It returns false, for its callers to return.
func (b *builder) impossible(y *body, p *syntax.Quantity, ref *syntax.Ref, v unit.Value, message string, slot *schema.Slot) bool {
	b.report(y, nil, b.impossibleFinding(y, p, ref, v, message, slot))
	return false
}

func (b *builder) impossibleFinding(y *body, p *syntax.Quantity, ref *syntax.Ref, v unit.Value, message string, slot *schema.Slot) diag.Finding {
	f := diag.Finding{
		Rule: "wrong-kind", Place: diag.Place{File: y.scope.File.Src, Span: p.Span}, Message: message,
		Why:  "nothing real has such a value, and Pintle can't compute with it",
		Help: "write " + v.Dim().Phrase() + ", such as " + slot.Example(),
	}
	if slot.Limit == schema.Positive {
		f.Help = "write " + v.Dim().Phrase() + " above 0, such as " + v.Dim().Example()
	}
	if ref == nil {
		return f
	}
	// The number was given to the part that is put in place.
	if a := b.argNamed(y, ref); a != nil && !a.place.IsZero() {
		f.Related = []diag.Related{{Place: diag.Place{File: y.scope.File.Src, Span: ref.Span}, Note: "used here"}}
		f.Place = a.place
	}
	return f
}

// misread notes that a clause of a statement holds a number that can't be: what is
// computed without it means nothing.
func (b *builder) misread(y *body, c clause) {
	i := model.Info{
		Kind: c.Form.Kind.Name, Fit: y.fit, Broken: true,
		Place: diag.Place{File: y.scope.File.Src, Span: c.Span}, NamePlace: diag.Place{File: y.scope.File.Src, Span: c.Span},
	}
	if !slices.ContainsFunc(b.d.Incomplete, func(o model.Info) bool { return o.Place == i.Place }) {
		b.d.Incomplete = append(b.d.Incomplete, i)
	}
}

// numbers looks at every number that is written in a body, also where nothing came of its
// statement for another reason.
func (b *builder) numbers(y *body) {
	if !y.notes {
		return // the same text, once more
	}
	for _, it := range y.live {
		b.numbersOf(y, it.Stmt)
	}
}

func (b *builder) numbersOf(y *body, st *syntax.Stmt) {
	for _, c := range st.Clauses() {
		if c.Broken {
			continue
		}
		for _, a := range c.Args {
			q, ok := a.Node.(*syntax.Quantity)
			if ok && q.Param == nil && q.HiParam == nil && !b.possible(y, q, q, a.Slot) {
				b.misread(y, c)
			}
		}
	}
	switch st.Kind.ID {
	case schema.Timer, schema.Bands, schema.Drive:
		for _, row := range st.Body {
			if row.Kind != nil {
				b.numbersOf(y, row)
			}
		}
	}
}
